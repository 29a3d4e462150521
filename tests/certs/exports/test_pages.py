"""Who may export whom, what a filter does to a file, and who reads a calendar feed."""

import csv
import io
import re
from datetime import date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.http import StreamingHttpResponse
from icalendar import Calendar
from openpyxl import load_workbook

from certs.board.queries import Asked, grid
from certs.cards import operations as acts
from certs.cards.models import Card
from certs.cards.rules import Step
from certs.exports import queries
from certs.exports.models import CalendarFeed
from tests.cast import AT, ON, Cast, person
from tests.certs import factory
from training.content.schemes import Unconfirmed
from training.people.models import Person
from training.people.rules import Role

END = date(2029, 11, 24)


@pytest.fixture(autouse=True)
def clock() -> object:
    """Every page is opened on the day of the cast."""
    with time_machine.travel(AT + timedelta(hours=6), tick=False) as travel:
        yield travel


@pytest.fixture
def card(cast: Cast) -> Card:
    factory.card(cast, cast.quin, on=ON)
    return factory.card(cast, cast.ada, on=ON)


def rows(cast: Cast, who: str, **asked: str) -> list[dict[str, str]]:
    answer = cast.client(who).get("/register.csv", asked)
    assert isinstance(answer, StreamingHttpResponse)
    text = b"".join(answer.streaming_content).decode()
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


class TestRegister:
    def test_shows_a_supervisor_their_own_people(self, cast: Cast, card: Card) -> None:
        """As the board does."""
        found = rows(cast, "sol")
        assert [(one["Name"], one["Standing"], one["Card number"]) for one in found] == [
            ("Ada Crew", "Current", card.number),
            ("Ben Crew", "No card", ""),
        ]
        assert (found[0]["Last day"], found[0]["Time zone"], found[0]["Scheme issue"]) == (
            "2029-11-24",
            "Europe/London",
            "1",
        )
        assert found[0]["Crews"] == "Gang 1"

    def test_tells_two_of_one_name_apart_and_on_which_day(self, cast: Cast, card: Card) -> None:
        """The employer's number finds them in other lists; a file that was renamed still says its day."""
        Person.objects.filter(pk=cast.ben.pk).update(name=cast.ada.name, number="=N-7")
        found = rows(cast, "sol", on="2026-11-24")
        assert [(one["Employer's number"], one["As of"]) for one in found] == [
            (cast.ada.number, "2026-11-24"),
            ("'=N-7", "2026-11-24"),
        ]

    def test_shows_the_body_everyone(self, cast: Cast, card: Card) -> None:
        """Trainers and administrators work across employers."""
        assert {one["Name"] for one in rows(cast, "max")} == {"Ada Crew", "Ben Crew", "Quin Stranger"}

    @pytest.mark.parametrize(("who", "status"), [("ada", 403), ("nobody", 302)])
    @pytest.mark.parametrize("kind", ["csv", "xlsx"])
    def test_is_for_staff(self, cast: Cast, card: Card, who: str, status: int, kind: str) -> None:
        """Crew members have no list of others."""
        assert cast.client(who).get(f"/register.{kind}").status_code == status

    def test_takes_the_filters_of_the_board(self, cast: Cast, card: Card) -> None:
        """Day, crew, employer and standing."""
        assert rows(cast, "sol", on="2026-11-24")[0]["Standing"] == "No card"
        assert [one["Name"] for one in rows(cast, "sol", crew=str(cast.crew.pk))] == ["Ada Crew"]
        assert [one["Name"] for one in rows(cast, "max", employer=str(cast.elsewhere.pk))] == ["Quin Stranger"]
        assert [one["Name"] for one in rows(cast, "sol", standing="no card")] == ["Ben Crew"]

    @pytest.mark.parametrize("asked", [{"on": "soon"}, {"crew": "999"}, {"standing": "gone"}])
    @pytest.mark.parametrize("kind", ["csv", "xlsx"])
    def test_goes_back_to_the_board_with_a_filter_it_cannot_read(
        self, cast: Cast, card: Card, asked: dict[str, str], kind: str
    ) -> None:
        """The board says which; a file of everyone would be taken for the answer."""
        answer = cast.client("sol").get(f"/register.{kind}", asked)
        assert answer.status_code == 302
        assert answer["Location"].startswith("/board/?")

    def test_neutralises_a_hostile_name(self, cast: Cast, card: Card) -> None:
        """From the database to the cell."""
        Person.objects.filter(pk=cast.ben.pk).update(name="=cmd|' /C calc'!A0")
        assert "'=cmd|' /C calc'!A0" in [one["Name"] for one in rows(cast, "sol")]

    def test_is_a_spreadsheet_as_well(self, cast: Cast, card: Card) -> None:
        """The same lines; the name says the day."""
        Person.objects.filter(pk=cast.ben.pk).update(name="=1+1")
        answer = cast.client("sol").get("/register.xlsx")
        assert answer["Content-Disposition"] == 'attachment; filename="register-2026-11-25.xlsx"'
        sheet = load_workbook(io.BytesIO(b"".join(answer.streaming_content)))["Register"]
        names = {row[1].value: row[1].data_type for row in sheet.iter_rows(min_row=2)}
        assert names == {"Ada Crew": "s", "=1+1": "s"}
        assert {row[11].value for row in sheet.iter_rows(min_row=2)} == {datetime(2029, 11, 24), None}

    def test_says_what_the_board_says(self, cast: Cast, card: Card) -> None:
        """Whatever happened to a card: the line is made in another way than the cell, on the days when either turns."""
        other = factory.card(cast, cast.ben, on=ON, slug="leads", title="Leads", unconfirmed=Unconfirmed.WARNS)
        factory.card(cast, cast.ada, on=ON, slug="leads", title="Leads")
        for one, step, day in [(card, Step.SUSPENDED, 3), (other, Step.SUSPENDED, 4), (other, Step.REINSTATED, 6)]:
            on = ON + timedelta(days=day)
            acts.measure(card=one, step=step, by=cast.max, reason="Event", on=on, at=factory.noon(on))
        everyone = Person.objects.all()
        turns = [ON, ON + timedelta(days=4), ON + timedelta(days=6), date(2027, 5, 25), date(2029, 5, 24), END]
        for on in [turn + timedelta(days=beside) for turn in turns for beside in (-1, 0, 1)]:
            asked = Asked(on=on, today=ON)
            cells = {
                (row.name, cell.scheme): (cell.words, cell.number)
                for row in grid(everyone, asked, at=AT).rows
                for cell in row.cells
            }
            lines = {(line[1], line[6]): (line[9], line[8]) for line in queries.register_in_cells(everyone, asked)}
            assert lines == cells, on

    def test_forgives_no_slip_where_the_name_is_somebodys(self, cast: Cast, card: Card) -> None:
        """Somebody else with the standing asked for and nearly the name is no answer; the board finds nobody either."""
        crow = person("crow", "Cat Crow", cast.northmoor, Role.CREW)
        acts.measure(
            card=factory.card(cast, crow, on=ON), step=Step.SUSPENDED, by=cast.max, reason="Event", on=ON, at=AT
        )
        everyone = Person.objects.all()
        for name, found in [("crew", []), ("cros", ["Cat Crow"])]:
            asked = Asked(on=ON, today=ON, name=name, standing="suspended")
            assert [line[1] for line in queries.register_in_cells(everyone, asked)] == found
            assert [row.name for row in grid(everyone, asked, at=AT).rows] == found

    def test_marks_utf_8_when_asked(self, cast: Cast, card: Card) -> None:
        """bom=1."""
        answer = cast.client("sol").get("/register.csv", {"bom": "1"})
        assert b"".join(answer.streaming_content).startswith(b"\xef\xbb\xbf")

    def test_says_what_a_card_owes(self, cast: Cast, card: Card) -> None:
        """Warnings stand in the note."""
        assert rows(cast, "sol")[0]["Note"] == ""

    def test_loads_people_in_batches(self, cast: Cast, card: Card, monkeypatch: pytest.MonkeyPatch) -> None:
        """Nobody is lost between two of them."""
        monkeypatch.setattr(queries, "BATCH", 1)
        assert len(rows(cast, "max")) == 3

    def test_is_offered_on_the_board(self, cast: Cast, card: Card) -> None:
        """With the filters that are set."""
        page = cast.client("sol").get("/board/", {"standing": "no card", "after": "1"}).content.decode()
        assert 'href="/register.xlsx?standing=no+card"' in page
        assert 'href="/register.csv?standing=no+card&amp;bom=1"' in page


def open_feed(cast: Cast, who: str) -> str:
    page = cast.client(who).post("/calendar/open/").content.decode()
    found = re.search(r"/calendar/[\w-]{22}\.ics", page)
    assert found
    return found[0]


def entries(cast: Cast, address: str) -> list[Any]:
    answer = cast.client("nobody").get(address)
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    return list(Calendar.from_ical(answer.content).walk("VEVENT"))


class TestFeed:
    def test_holds_the_days_of_ones_own_cards(self, cast: Cast, card: Card) -> None:
        """Confirmation first, then the last day; without anybody's name."""
        first, last = entries(cast, open_feed(cast, "ada"))
        assert first["SUMMARY"] == "My work to be confirmed, Bonds by pin brazing"
        assert first.decoded("DTSTART") == date(2027, 5, 25)
        assert last["SUMMARY"] == "Last day of my card, Bonds by pin brazing"
        assert last.decoded("DTSTART") == END
        assert last["URL"] == f"https://cards.example.org/cards/{card.number}/"
        assert "Ada" not in str(last)

    def test_holds_the_days_of_a_supervisors_people(self, cast: Cast, card: Card) -> None:
        """Of the same employer, by name."""
        assert {one["SUMMARY"] for one in entries(cast, open_feed(cast, "sol"))} == {
            "Ada Crew: work to be confirmed, Bonds by pin brazing",
            "Ada Crew: last day of the card, Bonds by pin brazing",
        }

    def test_keeps_the_identifiers_through_a_cycle(self, cast: Cast, card: Card) -> None:
        """Confirmed, the entry moves; renewed, there is another one."""
        address = open_feed(cast, "ada")
        due, last = (one["UID"] for one in entries(cast, address))
        acts.confirm(card=card, by=cast.sol, shots=5, evidence="job 7", doubts=False, on=ON, at=AT)
        assert [one["UID"] for one in entries(cast, address)] == [due, last]
        factory.card(cast, cast.ada, on=END)
        assert last not in [one["UID"] for one in entries(cast, address)]

    def test_leaves_out_what_is_over(self, cast: Cast, card: Card) -> None:
        """Withdrawn: no day; suspended: no confirmation to come."""
        address = open_feed(cast, "ada")
        acts.measure(card=card, step=Step.SUSPENDED, by=cast.max, reason="Event", on=ON, at=AT)
        assert len(entries(cast, address)) == 1
        acts.measure(card=card, step=Step.WITHDRAWN, by=cast.max, reason="Event", on=ON, at=AT)
        assert entries(cast, address) == []

    def test_ends_with_a_new_address_and_when_closed(self, cast: Cast, card: Card) -> None:
        """One feed a person."""
        for act in ("open", "close"):
            assert cast.client("ada").get(f"/calendar/{act}/").url == "/calendar/"
        old = open_feed(cast, "ada")
        for act, asked in (("open", "Make a new address?"), ("close", "Close the calendar feed?")):
            assert asked in cast.client("ada").get(f"/calendar/{act}/").content.decode()
        assert cast.client("nobody").get(old).status_code == 200
        new = open_feed(cast, "ada")
        assert cast.client("nobody").get(old).status_code == 404
        assert cast.client("nobody").get(new).status_code == 200
        page = cast.client("ada").post("/calendar/close/", follow=True).content.decode()
        assert "Its address answers no more." in page
        assert cast.client("nobody").get(new).status_code == 404
        assert cast.client("ada").post("/calendar/close/").status_code == 302

    def test_ends_with_the_account(self, cast: Cast, card: Card) -> None:
        """A person who left reads no more days."""
        address = open_feed(cast, "sol")
        Person.objects.filter(pk=cast.sol.pk).update(is_active=False)
        assert cast.client("nobody").get(address).status_code == 404

    def test_keeps_no_secret(self, cast: Cast, card: Card) -> None:
        """22 characters hold 128 bits; the database has their hash."""
        address = open_feed(cast, "ada")
        secret = address.removeprefix("/calendar/").removesuffix(".ics")
        kept = CalendarFeed.objects.get()
        assert len(secret) == 22
        assert secret not in (kept.digest, str(kept))
        assert len(kept.digest) == 64

    def test_page_says_whether_one_is_open(self, cast: Cast, card: Card) -> None:
        """And since when."""
        assert "Make the address" in cast.client("ada").get("/calendar/").content.decode()
        open_feed(cast, "ada")
        assert "A feed is open since 25 Nov 2026." in cast.client("ada").get("/calendar/").content.decode()
        assert "your crew" in cast.client("sol").get("/calendar/").content.decode()
