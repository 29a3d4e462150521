"""The board as a page."""

from datetime import date
from html.parser import HTMLParser

import pytest
import time_machine
from crispy_forms.templatetags.crispy_forms_filters import as_crispy_form
from django.http import QueryDict

from certs.board.forms import board_form
from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.templatetags.board_rows import board_filters
from tests.cast import AT, ON, Cast
from tests.certs.factory import card, scheme_issue
from training.people.access import Viewer
from training.people.models import Crew, Site
from training.people.rules import Role

URL = "/board/"
FIRST = date(2026, 8, 31)


@pytest.fixture(autouse=True)
def today() -> object:
    """Every page of this file is read on the day of the cast."""
    with time_machine.travel(AT, tick=False) as traveller:
        yield traveller


def text(cast: Cast, who: str, **asked: str) -> str:
    answer = cast.client(who).get(URL, asked)
    assert answer.status_code == 200
    return answer.content.decode()


class TestAccess:
    @pytest.mark.parametrize(
        ("who", "status"),
        [("nobody", 302), ("ada", 403), ("quin", 403), ("tess", 200), ("sol", 200), ("rex", 200), ("max", 200)],
    )
    def test_is_for_staff(self, cast: Cast, who: str, status: int) -> None:
        """Crew members see their own card, not the board."""
        assert cast.client(who).get(URL).status_code == status

    def test_takes_no_post(self, cast: Cast) -> None:
        """The board only reads."""
        assert cast.client("sol").post(URL).status_code == 405

    def test_shows_a_supervisor_their_own_people_only(self, cast: Cast) -> None:
        """No name and no card of another employer reaches the page, whatever is asked."""
        theirs = card(cast, cast.quin, on=FIRST)
        other = Crew.objects.create(employer=cast.elsewhere, name="Night gang")
        asked = {"employer": str(cast.elsewhere.pk), "crew": str(other.pk)}
        for page in (text(cast, "sol"), text(cast, "sol", **asked)):
            assert "Ada Crew" in page
            for secret in ("Quin Stranger", theirs.number, "Night gang", "Elsewhere Lines"):
                assert secret not in page

    def test_shows_every_employer_to_the_body(self, cast: Cast) -> None:
        """A trainer of the certification body chooses among employers."""
        page = text(cast, "tess")
        assert "Ada Crew" in page
        assert "Quin Stranger" in page
        assert "Ada Crew" not in text(cast, "tess", employer=str(cast.elsewhere.pk))


class TestPage:
    def test_says_word_shape_day_and_links(self, cast: Cast) -> None:
        """A cell is read without colour, leads to the card, and its row to the record."""
        made = card(cast, cast.ada, on=FIRST)
        page = text(cast, "sol")
        assert '<span class="standing standing-current">Current</span>' in page
        assert "until 30 Aug 2029" in page
        assert f'href="/cards/{made.number}/"' in page
        assert f'href="/records/{cast.ada.pk}/"' in page
        assert 'data-label="Bonds by pin brazing"' in page
        assert "1 of 2 crew members may work under a card." in page

    def test_is_of_the_day_asked_for(self, cast: Cast) -> None:
        """Who was current on a past day costs nothing extra."""
        made = card(cast, cast.ada, on=FIRST)
        measure(card=made, step=Step.WITHDRAWN, by=cast.max, reason="a reason", on=ON, at=AT)
        assert "Withdrawn" in text(cast, "sol").partition("<table")[2]
        past = text(cast, "sol", on="2026-11-24")
        assert "Who is current on 24 Nov 2026" in past
        assert "Withdrawn" not in past.partition("<table")[2]

    def test_says_that_another_day_is_not_today(self, cast: Cast) -> None:
        """A kept address names its day: on the day after it would pass for today."""
        past = text(cast, "sol", on="2026-11-24", name="ada")
        assert "This is not today: today is 25 Nov 2026." in past
        assert 'href="?name=ada"' in past
        assert "This is not today" not in text(cast, "sol", on="2026-11-25")

    @pytest.mark.parametrize("narrowed", [{"within": "30"}, {"standing": "lapsed"}])
    def test_says_that_a_narrowed_list_does_not_narrow_the_counts(self, cast: Cast, narrowed: dict[str, str]) -> None:
        """Whoever looks for the lapsed still sees how many are current, and is not told that they are in the list."""
        card(cast, cast.ada, on=FIRST)
        assert "Counted whatever standing or last day" in text(cast, "sol", **narrowed)
        assert "Counted whatever" not in text(cast, "sol", crew=str(cast.crew.pk))

    def test_says_on_paper_what_it_is_narrowed_to(self, cast: Cast) -> None:
        """The form is left off the paper, so a list of one gang would look like all of them."""
        narrowed = text(cast, "sol", crew=str(cast.crew.pk), within="30", name=" A<b ")
        assert "Only: Card ends: within 30 days; Crew: Gang 1; Name, or how it begins: A&lt;b</p>" in narrowed
        assert "on-paper" not in text(cast, "sol", on="2026-11-24")
        assert "on-paper" not in text(cast, "sol", standing="gone")

    @pytest.mark.parametrize("typed", ["24.11.2026", "2026-02-30", "tomorrow", "0000-00-00"])
    def test_answers_a_wrong_day_with_a_sentence_and_shows_today(self, cast: Cast, typed: str) -> None:
        """The sentence stands beside the field and what was typed is kept."""
        page = text(cast, "sol", on=typed)
        assert "Give a day, such as 2026-11-30. Until then this page shows today." in page
        # A calendar field of a browser shows nothing for it; a plain one keeps it.
        assert f'type="text" name="on" value="{typed}"' in page
        assert "Who is current on 25 Nov 2026" in page
        assert "<title>Error:" in " ".join(page.split()).replace("> ", ">")

    @pytest.mark.parametrize("day", ["", "0001-01-01", "9999-12-31"])
    def test_takes_any_day_of_the_calendar(self, cast: Cast, day: str) -> None:
        """No day breaks the sums; an empty one is today."""
        card(cast, cast.ada, on=FIRST)
        text(cast, "sol", on=day)

    @pytest.mark.parametrize(
        "asked",
        [{"crew": "9999"}, {"crew": "x"}, {"standing": "gone"}, {"scheme": "x"}, {"within": "x"}, {"after": "x"}],
    )
    def test_leaves_out_what_cannot_be_read(self, cast: Cast, asked: dict[str, str]) -> None:
        """A filter that is not in the list is named beside its field, and everyone is shown."""
        assert "Ben Crew" in text(cast, "sol", **asked)

    def test_says_when_nobody_matches(self, cast: Cast) -> None:
        """An empty board says what to do."""
        assert "Nobody matches. Choose another crew, standing or day." in text(cast, "sol", standing="suspended")

    def test_can_be_turned(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """The pages of a long board keep all that was asked."""
        monkeypatch.setattr("certs.board.queries.page.PER_PAGE", 1)
        scheme_issue()
        page = text(cast, "sol", on="2026-11-24", standing="no card", scheme="bonds")
        assert f"?on=2026-11-24&amp;standing=no+card&amp;scheme=bonds&amp;after={cast.ada.pk}" in page
        assert 'rel="prev"' not in page
        further = text(cast, "sol", on="2026-11-24", after=str(cast.ada.pk))
        assert f'rel="prev" href="?on=2026-11-24&amp;before={cast.ben.pk}"' in further
        assert 'rel="next"' not in further

    def test_offers_the_crews_of_one_employer(self, cast: Cast) -> None:
        """Whoever sees every employer chooses one first; a crew in the address is kept without."""
        assert 'name="crew"' not in text(cast, "tess")
        assert "Northmoor Track: Gang 1" in text(cast, "tess", employer=str(cast.northmoor.pk))
        assert "Northmoor Track: Gang 1" in text(cast, "tess", crew=str(cast.crew.pk))
        assert 'name="crew"' in text(cast, "sol")

    def test_narrows_by_all_its_fields(self, cast: Cast) -> None:
        """Each choice of the form reaches the board."""
        card(cast, cast.ada, on=FIRST)
        asked = {"scheme": "bonds", "standing": "current", "name": "ada", "crew": str(cast.crew.pk)}
        for page in (text(cast, "sol", **asked), text(cast, "sol", on="2027-01-01", within="180", **asked)):
            assert "Ben Crew" not in page
        assert "Ada Crew" in text(cast, "sol", **asked)
        assert "Nobody matches." in text(cast, "sol", on="2027-01-01", within="180", **asked)


class TestSite:
    @pytest.fixture
    def depot(self, cast: Cast) -> Site:
        """Gang 1, with Ada, goes out from a depot."""
        depot = Site.objects.create(employer=cast.northmoor, name="Moor depot")
        Crew.objects.filter(pk=cast.crew.pk).update(site=depot)
        return depot

    def test_narrows_to_the_crews_that_go_out_from_it(self, cast: Cast, depot: Site) -> None:
        """Ben is in no crew; the site stands beside the crew, and stays in the address of the files."""
        page = text(cast, "sol", site=str(depot.pk))
        assert "Ada Crew" in page
        assert "Ben Crew" not in page
        assert "Gang 1 (Moor depot)" in page
        assert f"site={depot.pk}" in page.partition("register.csv")[2]
        assert f'<option value="{depot.pk}" selected>Moor depot</option>' in page

    def test_of_another_employer_is_no_choice(self, cast: Cast, depot: Site) -> None:
        """Its name does not reach the page either."""
        page = text(cast, "rex", site=str(depot.pk))
        assert "Choose one of the sites in the list." in page
        assert "Moor depot" not in page

    def test_is_offered_with_its_employer_to_the_body(self, cast: Cast, depot: Site) -> None:
        """As crews are: once an employer is chosen."""
        assert "Moor depot</option>" not in text(cast, "tess")
        assert "Northmoor Track: Moor depot</option>" in text(cast, "tess", employer=str(cast.northmoor.pk))


class TestFilters:
    def test_are_written_as_crispy_writes_them(self, cast: Cast) -> None:
        """Written quicker without mistakes, the fields are the same: a label for each, its classes, its names."""
        viewer = Viewer(cast.max, frozenset({Role.ADMINISTRATOR}), AT, ON)
        form = board_form(QueryDict(f"employer={cast.northmoor.pk}"), viewer)

        def tags(written: str) -> list[tuple[str, dict[str, str | None]]]:
            found: list[tuple[str, dict[str, str | None]]] = []
            parser = HTMLParser()
            parser.handle_starttag = lambda tag, attrs: found.append((tag, dict(attrs)))  # type: ignore[method-assign]
            parser.feed(written)
            return found

        assert tags(board_filters(form)) == tags(as_crispy_form(form))
