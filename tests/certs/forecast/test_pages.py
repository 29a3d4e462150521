"""What lies ahead, read and shown."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.utils.formats import date_format

from certs.board.queries import Asked
from certs.cards.operations import confirm, measure
from certs.cards.rules import Step
from certs.forecast import rules
from certs.forecast.queries import CrewAhead, Forecast, forecast
from tests.cast import AT, ON, START, Cast, person
from tests.certs.factory import card, noon
from training.content.schemes import Unconfirmed
from training.people.models import Crew, CrewMembership, Person, Site
from training.people.rules import Role

URL = "/ahead/"
# 36 months from here to the eve end on 30 June 2027, within eighteen months of the day of the cast.
FIRST = date(2024, 7, 1)


def ahead(*, across: bool = False, at: datetime = AT, **asked: Any) -> Forecast:
    return forecast(Person.objects.all(), Asked(**({"on": ON, "today": ON} | asked)), across=across, at=at)


def crew(shown: Forecast) -> CrewAhead:
    assert shown.crews is not None
    return shown.crews[0]


def kept(cast: Cast, who: Person, *, on: date = FIRST, **scheme: Any) -> None:
    """Issue a card and confirm its work every five months up to the day of the cast."""
    made = card(cast, who, on=on, **scheme)
    day = on + timedelta(days=150)
    while day <= ON:
        confirm(card=made, by=cast.sol, shots=9, evidence="job", doubts=False, on=day, at=noon(day))
        day += timedelta(days=150)


class TestForecast:
    def test_counts_by_week_and_scheme(self, cast: Cast) -> None:
        """30 June 2027 lies in the week of Monday the 28th; work is due six months after it was last confirmed."""
        kept(cast, cast.ada)
        kept(cast, cast.ben, slug="leads", title="Leads", unconfirmed=Unconfirmed.WARNS)
        kept(cast, cast.quin, on=date(2026, 8, 31))
        bonds, leads = ahead().schemes
        assert (bonds.title, bonds.ending, bonds.confirming) == ("Bonds by pin brazing", 1, 2)
        assert [(week.words, week.ending) for week in bonds.weeks if week.ending] == [("28 Jun 2027", 1)]
        confirming = [(week.words, week.confirming) for week in bonds.weeks if week.confirming]
        assert confirming == [("18 Jan 2027", 1), ("22 Feb 2027", 1)]
        assert (leads.ending, leads.confirming) == (1, 1)
        assert ahead().ending == 2

    def test_draws_what_the_table_says(self, cast: Cast) -> None:
        """Measured in the picture, each bar stands in its week and is as high as the table's figure for it."""
        for number in range(4):
            made = person(f"p{number}", f"Person {number}", cast.northmoor, Role.CREW)
            kept(cast, made, on=FIRST if number < 3 else FIRST + timedelta(days=40))
        (bonds,) = ahead().schemes
        mondays = rules.weeks(ON, rules.horizon(ON))
        for bars, side, what in ((bonds.ending_bars, 0, "ending"), (bonds.confirming_bars, 0.5, "confirming")):
            drawn = {
                date_format(mondays[round(float(bar.x) * len(mondays) / 100 - side)]): round(
                    float(bar.height) * bonds.most / 28
                )
                for bar in bars
            }
            assert drawn == {week.words: getattr(week, what) for week in bonds.weeks if getattr(week, what)}
            assert all(abs(float(bar.y) + float(bar.height) - 28) < 0.02 for bar in bars)

    def test_marks_the_months_where_they_begin(self, cast: Cast) -> None:
        """Measured in the picture, each mark stands on the first day of its month."""
        mondays, marks = rules.weeks(ON, rules.horizon(ON)), ahead().months
        firsts = rules.month_firsts(mondays[0], rules.horizon(ON))
        for day, mark in zip(firsts, marks, strict=True):
            assert abs(float(mark.x) * 7 * len(mondays) / 100 - (day - mondays[0]).days) < 0.05
        named = [(mark.words, mark.is_half) for mark in marks if mark.words]
        assert named[:3] == [("Jan 2027", True), ("Apr 2027", False), ("Jul 2027", True)]
        assert named[-1] == ("Apr 2028", False)

    def test_of_all_employers_is_kept_ten_minutes(
        self, cast: Cast, django_assert_num_queries: Callable[..., Any]
    ) -> None:
        """The same figures, and the page says since when; a day later is another question."""
        kept(cast, cast.ada)
        assert (ahead(across=True).ending, ahead(across=True).counted_at) == (1, AT)
        measure(card=cast.ada.cards.get(), step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        with django_assert_num_queries(1):
            assert ahead(across=True, at=AT + timedelta(minutes=9)).ending == 1
        assert ahead(across=True, at=AT + timedelta(minutes=10)).ending == 0
        assert ahead(across=True, on=date(2026, 11, 24)).ending == 1
        assert ahead(across=True, employer=cast.northmoor).counted_at is None

    def test_leaves_out_cards_nobody_may_work_under(self, cast: Cast) -> None:
        """A suspended card ends for nobody."""
        made = card(cast, cast.ada, on=date(2026, 8, 31))
        measure(card=made, step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        (bonds,) = ahead().schemes
        assert (bonds.ending, bonds.confirming, bonds.weeks) == (0, 0, ())

    def test_costs_what_the_schemes_say(self, cast: Cast) -> None:
        """Half a day for each of two renewals; a scheme that says nothing leaves the sum a least."""
        kept(cast, cast.ada, trainer_days=Decimal("0.5"))
        kept(cast, cast.ben, trainer_days=Decimal("0.5"))
        shown = ahead()
        assert (shown.schemes[0].each, shown.schemes[0].cost, shown.cost, shown.uncosted) == (
            "0.5",
            "1.0",
            "1.0",
            False,
        )
        kept(cast, cast.ben, slug="leads", title="Leads")
        assert (ahead().schemes[1].cost, ahead().cost, ahead().uncosted) == ("", "1.0", True)

    def test_is_of_one_scheme_when_asked(self, cast: Cast) -> None:
        """The other one is neither counted nor shown."""
        kept(cast, cast.ada)
        kept(cast, cast.ben, slug="leads", title="Leads")
        shown = ahead(scheme=cast.ben.cards.get().scheme)
        assert ([one.title for one in shown.schemes], shown.ending) == (["Leads"], 1)


class TestCrews:
    def test_names_the_days_with_nobody_left(self, cast: Cast) -> None:
        """Unconfirmed, Ada's card stops six months after 21 July 2026; confirmed, it ends with June."""
        kept(cast, cast.ada)
        shown = crew(ahead())
        assert (shown.may_work, shown.ending) == (1, 1)
        assert (shown.unrenewed, shown.unconfirmed) == (("from 1 Jul 2027 on",), ("from 22 Jan 2027 on",))

    def test_follows_who_is_in_the_crew(self, cast: Cast) -> None:
        """Ben comes a week after Ada has left: nobody is there in between."""
        kept(cast, cast.ada)
        kept(cast, cast.ben, on=date(2026, 11, 1))
        cast.ada.crew_memberships.update(until_on=date(2026, 12, 31))
        CrewMembership.objects.create(person=cast.ben, crew=cast.crew, from_on=date(2027, 1, 8))
        assert crew(ahead()).unrenewed == ("1 Jan 2027 to 7 Jan 2027",)

    def test_is_never_without_where_somebody_stays(self, cast: Cast) -> None:
        """A card that ends beyond the horizon covers every day."""
        card(cast, cast.ada, on=date(2026, 11, 25), unconfirmed=Unconfirmed.WARNS)
        assert (crew(ahead()).unrenewed, crew(ahead()).unconfirmed) == ((), ())

    def test_is_without_from_the_first_day_where_nobody_holds_a_card(self, cast: Cast) -> None:
        """A crew without cards is named all the same."""
        assert crew(ahead(crew=cast.crew)).unrenewed == ("from 25 Nov 2026 on",)

    def test_names_the_site(self, cast: Cast) -> None:
        """A crew is told with the site it goes out from, where one is known."""
        assert crew(ahead()).site == ""
        assert "no site named" in cast.client("sol").get(URL).content.decode()
        Crew.objects.update(site=Site.objects.create(employer=cast.northmoor, name="North depot"))
        assert crew(ahead()).site == "North depot"
        assert '<td data-label="Goes out from">North depot</td>' in cast.client("sol").get(URL).content.decode()

    def test_asks_whoever_sees_every_employer_to_choose(self, cast: Cast) -> None:
        """An industry of crews is no page."""
        assert ahead(across=True).crews is None
        assert len(ahead(across=True, employer=cast.northmoor).crews or ()) == 1

    @pytest.mark.parametrize("size", [1, 6])
    def test_is_five_queries_at_any_size(
        self, cast: Cast, size: int, django_assert_num_queries: Callable[..., Any]
    ) -> None:
        """Endings, confirmations, schemes, cards, memberships."""
        for number in range(size):
            made = person(f"p{number}", f"Person {number}", cast.northmoor, Role.CREW)
            CrewMembership.objects.create(person=made, crew=cast.crew, from_on=START)
            card(cast, made, on=date(2026, 8, 31))
        with django_assert_num_queries(5):
            ahead()


class TestPage:
    @pytest.fixture(autouse=True)
    def today(self) -> object:
        """Every page is read on the day of the cast."""
        with time_machine.travel(AT, tick=False) as traveller:
            yield traveller

    @pytest.mark.parametrize(("who", "status"), [("nobody", 302), ("ada", 403), ("tess", 200), ("sol", 200)])
    def test_is_for_staff(self, cast: Cast, who: str, status: int) -> None:
        """As the board."""
        assert cast.client(who).get(URL).status_code == status

    def test_shows_picture_table_and_crews(self, cast: Cast) -> None:
        """The words of the picture are those of the table."""
        kept(cast, cast.ada)
        page = cast.client("sol").get(URL).content.decode()
        assert '<rect class="ahead-ending"' in page
        assert "Cards that end: 1. Work to be confirmed: 1. The tallest bar stands for 1 in a week." in page
        assert '<th scope="row">28 Jun 2027</th>' in page
        assert "a bar of full height: 1 card in a week" in page
        assert 'href="/gaps/"' in page
        assert 'href="/gaps/"' not in cast.client("tess").get(URL).content.decode()
        assert "Northmoor Track: Gang 1" in page
        assert "from 1 Jul 2027 on" in page
        assert "Quin" not in page
        assert "No scheme here states how long one renewal takes a trainer." in page
        assert "only the next confirmation of work is counted" in page
        assert "Only: Crew: Gang 1</p>" in cast.client("sol").get(f"{URL}?crew={cast.crew.pk}").content.decode()

    @pytest.mark.parametrize("day", ["x", "0001-01-01", "9999-12-31"])
    def test_takes_any_day(self, cast: Cast, day: str) -> None:
        """No day breaks the sums; what cannot be read is said."""
        kept(cast, cast.ada)
        assert cast.client("max").get(URL, {"on": day, "crew": str(cast.crew.pk)}).status_code == 200
