"""The day sheet on paper."""

import io
from datetime import date

import pytest
import time_machine
from pypdf import PdfReader

from certs.board.queries import Asked
from certs.board.queries.sheets import TooMany, day_sheet
from certs.cards.operations import measure
from certs.cards.rules import Step
from tests.cast import AT, ON, START, Cast, person
from tests.certs.factory import card, scheme_issue
from training.people.models import CrewMembership, Person, Site
from training.people.rules import Role

FIRST = date(2026, 8, 31)
URL = "/board/day-sheet.pdf"


def sheet(**asked: object) -> list[tuple[str, str, list[str]]]:
    made = day_sheet(Person.objects.all(), Asked(**({"on": ON, "today": ON} | asked)))  # type: ignore[arg-type]
    return [(one.employer, one.crew, [line.name for line in one.lines]) for one in made.crews]


class TestDaySheet:
    def test_is_by_crew_and_puts_first_who_may_work(self, cast: Cast) -> None:
        """A person in two crews stands on both sheets; who is in none stands on a sheet of the employer."""
        CrewMembership.objects.create(person=cast.ben, crew=cast.crew, from_on=START)
        other = cast.northmoor.crews.create(name="Gang 2")
        CrewMembership.objects.create(person=cast.ben, crew=other, from_on=START)
        card(cast, cast.ben, on=FIRST)
        assert sheet() == [
            ("Northmoor Track", "Gang 1", ["Ben Crew", "Ada Crew"]),
            ("Northmoor Track", "Gang 2", ["Ben Crew"]),
            ("Elsewhere Lines", "", ["Quin Stranger"]),
        ]
        assert sheet(crew=other) == [("Northmoor Track", "Gang 2", ["Ben Crew"])]

    def test_puts_the_crews_of_a_site_together(self, cast: Cast) -> None:
        """The site stands at the head; crews of none come last, on either database."""
        depot = Site.objects.create(employer=cast.northmoor, name="Moor depot")
        later = cast.northmoor.crews.create(name="Gang 2", site=depot)
        CrewMembership.objects.create(person=cast.ben, crew=later, from_on=START)
        made = day_sheet(Person.objects.all(), Asked(on=ON, today=ON, employer=cast.northmoor))
        assert [(one.site, one.crew) for one in made.crews] == [("Moor depot", "Gang 2"), ("", "Gang 1")]
        assert sheet(site=depot) == [("Northmoor Track", "Gang 2", ["Ben Crew"])]

    def test_says_until_when_and_why_not(self, cast: Cast) -> None:
        """In the words of the board."""
        held = card(cast, cast.ada, on=FIRST)
        measure(card=held, step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        made = day_sheet(Person.objects.all(), Asked(on=ON, today=ON, crew=cast.crew))
        (cell,) = made.crews[0].lines[0].cells
        assert (cell.words, cell.says) == ("Suspended", "since 25 Nov 2026")
        assert made.crews[0].says == "0 of 1 person may work under a card."

    def test_is_refused_for_more_than_a_morning_prints(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """With what to do."""
        monkeypatch.setattr("certs.board.queries.sheets.MOST_PEOPLE", 2)
        with pytest.raises(TooMany, match="Choose an employer or a crew"):
            sheet()
        monkeypatch.setattr("certs.board.queries.sheets.MOST_PEOPLE", 3)
        monkeypatch.setattr("certs.board.queries.sheets.MOST_CREWS", 1)
        with pytest.raises(TooMany):
            sheet()
        assert len(sheet(employer=cast.elsewhere)) == 1

    def test_is_six_queries(self, cast: Cast, django_assert_num_queries: object) -> None:
        """People, crews, three for the cards, schemes."""
        card(cast, cast.ada, on=FIRST)
        with django_assert_num_queries(6):  # type: ignore[operator]
            sheet()


class TestPage:
    @pytest.fixture(autouse=True)
    def today(self) -> object:
        """Every page is printed on the day of the cast."""
        with time_machine.travel(AT, tick=False) as traveller:
            yield traveller

    def test_is_a_tagged_a4_page_for_each_crew(self, cast: Cast) -> None:
        """A4 is 210 by 297 mm (ISO 216): 595 by 842 points."""
        card(cast, cast.ada, on=FIRST)
        person("zoe", "Zoë Żak", cast.northmoor, Role.CREW)
        answer = cast.client("sol").get(URL, {"on": "2026-11-30"})
        assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
        assert answer["Content-Disposition"] == 'inline; filename="day-sheet-2026-11-30.pdf"'
        read = PdfReader(io.BytesIO(answer.content))
        assert "/StructTreeRoot" in read.trailer["/Root"]
        assert read.metadata is not None
        assert read.metadata.title == "Day sheet for 30 Nov 2026"
        assert [(round(page.mediabox.width), round(page.mediabox.height)) for page in read.pages] == [(595, 842)] * 2
        first, second = (" ".join(page.extract_text().split()) for page in read.pages)
        assert "Gang 1" in first
        assert "until 30 Aug 2029" in first
        assert "In no crew" in second
        assert "Zoë Żak" in second
        assert "Quin" not in first + second

    def test_goes_back_to_the_board_where_it_cannot_be_made(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """The board says why, with everything asked still there."""
        scheme_issue()
        assert cast.client("sol").get(URL, {"on": "x"})["Location"] == "/board/?on=x"
        monkeypatch.setattr("certs.board.queries.sheets.MOST_CREWS", 1)
        answer = cast.client("max").get(URL, {"standing": "no card"}, follow=True)
        assert answer.redirect_chain == [("/board/?standing=no+card", 302)]
        assert "That is too many for one print." in answer.content.decode()

    def test_says_when_nobody_matches(self, cast: Cast) -> None:
        """An empty print is a page all the same."""
        answer = cast.client("sol").get(URL, {"standing": "withdrawn"})
        (page,) = PdfReader(io.BytesIO(answer.content)).pages
        assert "Nobody matches." in page.extract_text()
