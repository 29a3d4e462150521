"""The board as of a day."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from certs.board.queries import Asked, Board, Cell, grid, value_of
from certs.board.rules import ORDER
from certs.cards.models import Card, Confirmation, Measure
from certs.cards.operations import confirm, measure
from certs.cards.rules import Standing, Step
from certs.cards.rules import standing as standing_on
from certs.schemes.models import Scheme
from tests.cast import AT, ON, START, Cast, person
from tests.certs.factory import card, noon, scheme_issue
from tests.training.procedures.content import asks, module, revised
from training.bridges.models import Bridge
from training.content.schemes import Unconfirmed
from training.people.models import CrewMembership, Person, RoleHeld
from training.people.rules import Role
from training.procedures.models import Revision
from training.procedures.operations import load, record_reading

FIRST = date(2026, 8, 31)


def board(people: Any = None, *, on: date = ON, before: str = "", after: str = "", **asked: Any) -> Board:
    everyone = Person.objects.all() if people is None else people
    return grid(everyone, Asked(on=on, today=ON, **asked), at=AT, before=before, after=after)


def cell(shown: Board, name: str) -> Cell:
    return next(row.cells[0] for row in shown.rows if row.name == name)


def names(shown: Board) -> list[str]:
    return [row.name for row in shown.rows]


class TestPeople:
    def test_are_the_crew_members_of_the_day(self, cast: Cast) -> None:
        """Staff are not on the board, and a role that has not begun does not count."""
        assert names(board()) == ["Ada Crew", "Ben Crew", "Quin Stranger"]
        assert names(board(on=START - timedelta(days=1))) == []

    def test_leave_with_their_role(self, cast: Cast) -> None:
        """The last day of a role still counts."""
        RoleHeld.objects.filter(person=cast.ben).update(until_on=ON)
        assert "Ben Crew" in names(board())
        assert "Ben Crew" not in names(board(on=ON + timedelta(days=1)))

    def test_with_a_closed_account_stay_on_past_days_only(self, cast: Cast) -> None:
        """Who was current on the day of an incident does not change when a person leaves."""
        Person.objects.filter(pk=cast.ben.pk).update(is_active=False)
        assert "Ben Crew" not in names(board())
        assert "Ben Crew" in names(board(on=ON - timedelta(days=1)))

    def test_are_named_with_the_crews_of_the_day(self, cast: Cast) -> None:
        """A person in two crews is one row; a crew left before is not shown."""
        other = cast.northmoor.crews.create(name="Gang 2")
        CrewMembership.objects.create(person=cast.ada, crew=other, from_on=ON, until_on=ON)
        assert {row.name: row.crews for row in board().rows}["Ada Crew"] == "Gang 1, Gang 2"
        assert {row.name: row.crews for row in board(on=ON + timedelta(days=1)).rows}["Ada Crew"] == "Gang 1"

    def test_can_be_asked_for_by_crew(self, cast: Cast) -> None:
        """Only those in the crew on the day."""
        assert names(board(crew=cast.crew)) == ["Ada Crew"]
        assert names(board(crew=cast.crew, on=START - timedelta(days=1))) == []

    def test_can_be_asked_for_by_employer(self, cast: Cast) -> None:
        """Only the people of that employer."""
        assert names(board(employer=cast.elsewhere)) == ["Quin Stranger"]


class TestColumns:
    def test_are_the_schemes_in_use_under_their_newest_title(self, cast: Cast) -> None:
        """A newer issue renames the column, it does not add one."""
        scheme_issue()
        scheme_issue(issue=2, title="Bonds, second issue")
        assert [column.title for column in board().columns] == ["Bonds, second issue"]

    def test_keep_a_retired_scheme_while_somebody_holds_its_card(self, cast: Cast) -> None:
        """A card outlives the scheme that is no longer offered."""
        card(cast, cast.ada, on=FIRST)
        scheme_issue(slug="never-held", title="Never held")
        Scheme.objects.update(retired_at=AT)
        assert [column.slug for column in board().columns] == ["bonds"]

    def test_count_who_may_work(self, cast: Cast) -> None:
        """One of three holds a card that may be worked under."""
        card(cast, cast.ada, on=FIRST)
        shown = board()
        assert (shown.columns[0].holding, shown.people, shown.may_work) == ("1", 3, 1)

    def test_are_there_before_anyone_is(self, cast: Cast) -> None:
        """A board without people is empty and does not fail."""
        scheme_issue()
        shown = board(Person.objects.none())
        assert (shown.rows, shown.counts, shown.people) == ((), (), 0)


class TestCells:
    def test_say_until_when_and_name_the_card(self, cast: Cast) -> None:
        """ISO 9606-1 clause 9 and EN 13133: counted from the day of the tests, here 36 months to the eve."""
        made = card(cast, cast.ada, on=FIRST)
        shown = cell(board(), "Ada Crew")
        assert (shown.words, shown.says, shown.number) == ("Current", "until 30 Aug 2029", made.number)
        assert shown.note == "work confirmed to 28 Feb 2027"

    def test_say_when_there_is_no_card(self, cast: Cast) -> None:
        """An empty cell is words too."""
        scheme_issue()
        assert cell(board(), "Ada Crew") == Cell("Bonds by pin brazing", None, "No card", "none")

    def test_warn_where_the_scheme_only_warns(self, cast: Cast) -> None:
        """The card goes on, and the board says what is missing."""
        card(cast, cast.ada, on=FIRST, unconfirmed=Unconfirmed.WARNS)
        shown = cell(board(on=date(2027, 3, 1)), "Ada Crew")
        assert (shown.standing, shown.note) == (
            Standing.CURRENT,
            "Work was to be confirmed by 28 Feb 2027 and was not.",
        )

    @pytest.mark.parametrize(
        ("on", "words", "says"),
        [
            (date(2026, 8, 30), "No card", ""),
            (date(2026, 8, 31), "Current", "until 30 Aug 2029"),
            (date(2027, 2, 28), "Current", "until 30 Aug 2029"),
            (date(2027, 3, 1), "Work not confirmed", "was due 28 Feb 2027"),
            (date(2029, 8, 31), "Lapsed", "last day 30 Aug 2029"),
        ],
    )
    def test_follow_the_day(self, cast: Cast, on: date, words: str, says: str) -> None:
        """31 Aug 2026 plus six months is 28 Feb 2027: the day clips to the month's end and still counts."""
        card(cast, cast.ada, on=FIRST)
        shown = cell(board(on=on), "Ada Crew")
        assert (shown.words, shown.says) == (words, says)


DUTIES = [
    ("day before it landed", date(2026, 9, 19)),
    ("day it landed", date(2026, 9, 20)),
    ("last day to read it", date(2026, 10, 20)),
    ("day after it", date(2026, 10, 21)),
    ("day before it is read", date(2026, 10, 24)),
    ("day it is read", date(2026, 10, 25)),
]
BOUNDARIES = [
    ("day before issue", FIRST - timedelta(days=1)),
    ("first day", FIRST),
    ("day before the suspension", date(2026, 9, 30)),
    ("day of the suspension", date(2026, 10, 1)),
    ("day of reinstatement", date(2026, 10, 5)),
    ("due day of confirmation", date(2027, 4, 30)),
    ("day after it", date(2027, 5, 1)),
    ("leap day", date(2028, 2, 29)),
    ("last day", date(2029, 8, 30)),
    ("day after it", date(2029, 8, 31)),
]


class TestChangedProcedures:
    def test_are_named_with_their_last_day(self, cast: Cast) -> None:
        """Who still has to read it, until when, and who is late."""
        card(cast, cast.ada, on=FIRST)
        card(cast, cast.ben, on=FIRST)
        load([module()], at=noon(FIRST))
        load([revised(revision=asks("read", "due", within_days=30))], at=noon(date(2026, 9, 20)))
        record_reading(person=cast.ben, revision=Revision.objects.get(number=2), at=noon(date(2026, 10, 5)))
        early, late = board(on=date(2026, 10, 1)), board(on=date(2026, 10, 21))
        words = "Setting up, revision 2: read it by 20 Oct 2026"
        assert [cell(early, name).owed for name in ("Ada Crew", "Ben Crew")] == [(words,), (words,)]
        shown = cell(late, "Ada Crew")
        assert (shown.words, shown.says) == ("Due", "until 30 Aug 2029")
        assert shown.owed == ("Setting up, revision 2: was to be read by 20 Oct 2026",)
        assert shown.note == "What a changed procedure asks was to be done by 20 Oct 2026 and was not."
        assert (cell(late, "Ben Crew").words, cell(late, "Ben Crew").owed) == ("Current", ())

    def test_name_what_is_left_of_answers(self, cast: Cast) -> None:
        """Reading and answers are told apart."""
        card(cast, cast.ada, on=FIRST)
        load([module()], at=noon(FIRST))
        load([revised(revision=asks("answer", "stops", within_days=30))], at=noon(date(2026, 9, 20)))
        asking = Revision.objects.get(number=2)
        days = [date(2026, 9, 20), date(2026, 10, 2), date(2026, 10, 21), date(2026, 10, 26), date(2026, 10, 27)]
        record_reading(person=cast.ada, revision=asking, at=noon(days[1]))
        Bridge.objects.create(
            person=cast.ada, revision=asking, seed="s", opened_at=noon(days[4]), answered_at=noon(days[4])
        )
        assert [cell(board(on=on), "Ada Crew").owed for on in days] == [
            ("Setting up, revision 2: read it, and answer by 20 Oct 2026",),
            ("Setting up, revision 2: answer its questions by 20 Oct 2026",),
            ("Setting up, revision 2: its questions were to be answered by 20 Oct 2026",),
            ("Setting up, revision 2: its questions were to be answered by 20 Oct 2026",),
            (),
        ]
        assert cell(board(on=days[3]), "Ada Crew").words == "Procedure overdue"
        assert cell(board(on=days[3]), "Ada Crew").says == "was due 20 Oct 2026"


class TestAgreement:
    def change_procedure(self, cast: Cast) -> None:
        """Load a revision on 20 Sep to be read by 20 Oct, which Ada does on the 25th."""
        load([module()], at=noon(FIRST))
        load([revised(revision=asks("read", "stops", within_days=30))], at=noon(date(2026, 9, 20)))
        record_reading(person=cast.ada, revision=Revision.objects.get(number=2), at=noon(date(2026, 10, 25)))

    @pytest.mark.parametrize(("_what", "on"), BOUNDARIES + DUTIES)
    def test_holds_with_the_card_rules_and_with_sql(self, cast: Cast, _what: str, on: date) -> None:
        """Who is current on a day is decided once: board, rule and database give one answer."""
        made = card(cast, cast.ada, on=FIRST)
        self.change_procedure(cast)
        for day, step in [(date(2026, 10, 1), Step.SUSPENDED), (date(2026, 10, 5), Step.REINSTATED)]:
            measure(card=made, step=step, by=cast.max, reason="a doubt", on=day, at=noon(day))
        day = date(2026, 10, 30)
        confirm(card=made, by=cast.sol, shots=40, evidence="job 7", doubts=False, on=day, at=noon(day))
        stored = Card.objects.get()
        state = standing_on(stored.facts(), on=on)
        assert (state.standing is Standing.PROCEDURE_OVERDUE) is (date(2026, 10, 21) <= on <= date(2026, 10, 24))
        shown = cell(board(on=on), "Ada Crew")
        holds = shown.standing is not None and shown.standing.holds
        assert shown.standing == (None if on < FIRST else state.standing)
        assert holds is state.standing.holds is Card.objects.valid_on(on).exists()
        assert [one for one in Standing if Card.objects.that_stand(one, on).exists()] == [state.standing]

    def test_shows_the_card_of_the_day_and_not_its_successor(self, cast: Cast) -> None:
        """A past board names the card that was in the pocket then."""
        first = card(cast, cast.ada, on=FIRST, unconfirmed=Unconfirmed.WARNS)
        second = card(cast, cast.ada, on=date(2029, 8, 1), unconfirmed=Unconfirmed.WARNS)
        assert cell(board(on=date(2029, 7, 31)), "Ada Crew").number == first.number
        assert cell(board(on=date(2029, 8, 1)), "Ada Crew").number == second.number


class TestStandingAskedFor:
    def test_keeps_the_people_and_all_the_counts(self, cast: Cast) -> None:
        """The counts go on to say what the others hold, so that the next question is one press away."""
        card(cast, cast.ada, on=FIRST)
        suspended = card(cast, cast.ben, on=FIRST)
        measure(card=suspended, step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        shown = board(standing="suspended")
        assert (names(shown), shown.people) == (["Ben Crew"], 3)
        assert [(one.value, one.number) for one in shown.counts] == [("current", 1), ("suspended", 1), ("no card", 1)]
        assert names(board(standing="no card")) == ["Quin Stranger"]
        assert names(board(standing="suspended", on=ON - timedelta(days=1))) == []

    @pytest.mark.parametrize("on", [day for _what, day in BOUNDARIES])
    def test_keeps_whom_the_rules_keep(self, cast: Cast, monkeypatch: pytest.MonkeyPatch, on: date) -> None:
        """Whatever is asked for and however it is looked for, those on the page hold it and the others do not."""
        made = card(cast, cast.ada, on=FIRST)
        card(cast, cast.ben, on=FIRST, slug="leads", title="Leads", unconfirmed=Unconfirmed.WARNS)
        for day, step in [(date(2026, 10, 1), Step.SUSPENDED), (date(2026, 10, 5), Step.REINSTATED)]:
            measure(card=made, step=step, by=cast.max, reason="a doubt", on=day, at=noon(day))
        everyone = board(on=on)
        for standing in ORDER:
            held = [row.name for row in everyone.rows if standing in [one.standing for one in row.cells]]
            for short_walk in (0, 1_000):
                monkeypatch.setattr("certs.board.rules.SHORT_WALK", short_walk)
                assert names(board(on=on, standing=value_of(standing))) == held

    def test_is_under_the_scheme_asked_for(self, cast: Cast) -> None:
        """One column is left, and a card of another scheme does not count."""
        card(cast, cast.ada, on=FIRST)
        card(cast, cast.ben, on=FIRST, slug="leads", title="Leads")
        leads = Scheme.objects.get(slug="leads")
        shown = board(scheme=leads, standing="current")
        assert (names(shown), [one.title for one in shown.columns]) == (["Ben Crew"], ["Leads"])
        assert names(board(scheme=leads, standing="no card")) == ["Ada Crew", "Quin Stranger"]
        assert [(one.value, one.number) for one in shown.counts] == [("current", 1), ("no card", 2)]


class TestLastDayAskedFor:
    def test_counts_the_days_from_the_day_of_the_board(self, cast: Cast) -> None:
        """The last day is 30 Aug 2029: thirty days before it the card ends within thirty days, a day sooner not."""
        card(cast, cast.ada, on=FIRST, unconfirmed=Unconfirmed.WARNS)
        assert names(board(on=date(2029, 7, 31), within=30)) == ["Ada Crew"]
        assert names(board(on=date(2029, 7, 30), within=30)) == []
        assert names(board(on=date(2029, 8, 31), within=30)) == []
        assert names(board(on=date.max, within=30)) == []

    def test_is_asked_of_the_card_of_the_standing(self, cast: Cast) -> None:
        """A card that is stopped ends for nobody, and no card has no last day."""
        card(cast, cast.ada, on=FIRST)
        day = date(2029, 8, 30)
        assert names(board(on=day, within=30, standing="work not confirmed")) == []
        assert names(board(on=day, within=30, standing="no card")) == []
        card(cast, cast.ben, on=FIRST, slug="leads", title="Leads", unconfirmed=Unconfirmed.WARNS)
        assert names(board(on=day, within=30, standing="due")) == ["Ben Crew"]


class TestName:
    def test_forgives_a_slip(self, cast: Cast) -> None:
        """Typed without care, found all the same; what is counted is what is found."""
        person("n", "José Łukasz", cast.northmoor, Role.CREW)
        shown = board(name="jose lukaz")
        assert (names(shown), shown.people, shown.guessed) == (["José Łukasz"], 1, True)
        assert [board(name=text).guessed for text in ("luk jose", "", "nobody of that name")] == [False] * 3
        nobody = cast.client("sol").get("/board/", {"name": "xaver"}).content.decode()
        assert "Nobody matches. Look at the spelling of the name" in nobody
        assert "0 of 0" not in nobody
        page = " ".join(cast.client("sol").get("/board/", {"name": "jose lukaz"}).content.decode().split())
        assert "No name begins with “jose lukaz”. Shown instead: names spelled nearly so." in page

    def test_of_many_is_looked_for_in_the_same_way_for_ten_minutes(
        self, cast: Cast, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Whether a slip was made is a question to all names; who comes meanwhile is found as well."""
        monkeypatch.setattr("certs.board.queries.tally.FEW", 1)
        for number in range(2):
            person(f"n{number}", "José Łukasz", cast.northmoor, Role.CREW)
        assert names(board(name="lukaz")) == ["José Łukasz"] * 2
        person("n", "Ana Lukaz", cast.northmoor, Role.CREW)
        assert names(board(name="lukaz")) == ["Ana Lukaz", "José Łukasz", "José Łukasz"]
        later = grid(Person.objects.all(), Asked(on=ON, today=ON, name="lukaz"), at=AT + timedelta(minutes=10))
        assert names(later) == ["Ana Lukaz"]


def many_crew(cast: Cast, size: int) -> None:
    load([module()], at=noon(FIRST))
    load([revised(revision=asks())], at=noon(FIRST + timedelta(days=1)))
    for number in range(size):
        made = person(f"p{number}", f"Person {number:02}", cast.northmoor, Role.CREW)
        CrewMembership.objects.create(person=made, crew=cast.crew, from_on=START)
        held = card(cast, made, on=FIRST)
        card(cast, made, on=FIRST, slug="leads", title="Leads")
        measure(card=held, step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        confirm(card=held, by=cast.sol, shots=1, evidence="job", doubts=False, on=ON, at=AT)
        record_reading(person=made, revision=Revision.objects.get(number=2), at=AT)


class TestCost:
    @pytest.mark.parametrize("size", [5, 20])
    def test_is_ten_queries_at_any_size(
        self, cast: Cast, size: int, django_assert_num_queries: Callable[..., Any]
    ) -> None:
        """People, crews, schemes, three for the cards; of the counts what is kept, and three where few are counted."""
        many_crew(cast, size)
        with django_assert_num_queries(10):
            shown = board(crew=cast.crew, employer=cast.northmoor, standing="suspended")
        assert len(shown.rows) == size
        assert Measure.objects.count() == Confirmation.objects.count() == size

    def test_is_seven_queries_once_many_are_counted(
        self, cast: Cast, monkeypatch: pytest.MonkeyPatch, django_assert_num_queries: Callable[..., Any]
    ) -> None:
        """The counts say when they were made, and are made again after ten minutes."""
        monkeypatch.setattr("certs.board.queries.tally.FEW", 1)
        many_crew(cast, 3)
        assert board().counted_at == AT
        Person.objects.filter(username="p1").update(is_active=False)
        with django_assert_num_queries(7):
            shown = board()
        assert (shown.people, len(shown.rows), shown.counted_at) == (6, 5, AT)
        later = grid(Person.objects.all(), Asked(on=ON, today=ON), at=AT + timedelta(minutes=10))
        assert (later.people, later.counted_at) == (5, AT + timedelta(minutes=10))


class TestPages:
    def walk(self, **asked: Any) -> list[list[str]]:
        """Return the pages from the first to the last, having walked back and found the same."""
        pages = [board(**asked)]
        while pages[-1].after:
            pages.append(board(after=str(pages[-1].after), **asked))
        back = [pages[-1]]
        while back[-1].before:
            back.append(board(before=str(back[-1].before), **asked))
        assert [names(one) for one in reversed(back)] == [names(one) for one in pages]
        return [names(one) for one in pages]

    def test_follow_one_another_in_both_directions(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        """Nobody is left out or met twice, not even people of one name."""
        monkeypatch.setattr("certs.board.queries.page.PER_PAGE", 2)
        for number in range(3):
            person(f"ada{number}", "Ada Crew", cast.northmoor, Role.CREW)
        assert self.walk() == [["Ada Crew", "Ada Crew"], ["Ada Crew", "Ada Crew"], ["Ben Crew", "Quin Stranger"]]
        assert self.walk(employer=cast.elsewhere) == [["Quin Stranger"]]
        assert board().people == 6

    @pytest.mark.parametrize("beside", ["x", "-1", "999999999", "9" * 40, "٣"])
    def test_begin_anew_beside_nobody(self, cast: Cast, beside: str) -> None:
        """An address that was cut or made up shows the first page."""
        assert names(board(after=beside)) == names(board(before=beside)) == names(board())
