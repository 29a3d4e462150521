"""The gap plan of a large company: made quickly, judged by the rules that judge every plan, and said to be unproven."""

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from certs.crewing.rules import Rules, Turn, check, shortages
from certs.crewing.rules.sheet import Sheet, Solved
from certs.gaps.queries import gap_plan
from certs.gaps.rules import Call, GapPlan, Prices, Way, as_is, plan, planning
from certs.gaps.rules.quick import quick
from certs.gaps.rules.writing import Writing, found_by, ready, visit_to
from certs.jobs.rules import Hand, Job
from certs.records.rules import Step
from tests.cast import AT, ON, Cast, person
from tests.certs.crewing.cases import day, generated, hand, job
from tests.certs.factory import card, scheme_issue
from tests.certs.gaps.test_rules import sent, tried, way
from tests.certs.jobs.conftest import Make
from training.people.rules import Role

FIRST = day(-1)


@pytest.fixture
def large(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take every company for one that is too large to be planned whole."""
    monkeypatch.setattr(planning, "WHOLE", 0)


def case(seed: int) -> tuple[list[Job], list[Hand], list[Way], Rules]:
    """Return jobs, hands and ways of which some are in time."""
    jobs, hands = generated(seed, hands=6, jobs=4, length=8)
    made = random.Random(f"large {seed}")
    ways = [
        way(who.key, made.choice([-1, 0, 2]), scheme=scheme, after=made.choice([0, 0, 1]))
        for who in hands
        for scheme in ("bonds", "leads")
        if not who.may.get(scheme) and made.random() < 0.8
    ]
    return jobs, hands, ways, Rules(row=made.choice([2, 3, 6]))


def judged(
    jobs: list[Job], hands: list[Hand], calls: list[Call], turns: list[Turn], rules: Rules
) -> tuple[object, ...]:
    """Return what `crewing.check`, which shares no code with the making, has against work and visits together."""
    able = []
    for one in hands:
        may = dict(one.may)
        for call in calls:
            if call.way.hand == one.key:
                held = (ready(call.way, call.on), call.way.until)
                may[call.way.scheme] = (*may.get(call.way.scheme, ()), held)
                may[visit_to(call.way.scheme, call.on).wants[0].scheme] = ((call.on, call.on),)
        able.append(replace(one, may=may))
    visits = {replace(visit_to(call.way.scheme, call.on, 99), employer="north") for call in calls}
    wanted = {one.key: one.wants[0].scheme for one in visits}
    seen = [(call.on, visit_to(call.way.scheme, call.on).key, call.way.hand) for call in calls]
    shown = [Turn(on, key, wanted[key], who) for on, key, who in seen]
    return check([*turns, *shown], [*jobs, *visits], able, rules=rules)


def test_quick_breaks_no_rule() -> None:
    """Of many cases no plan breaks a rule: one place a day, visits too, rest, days in a row, cards, days away."""
    closed = 0
    for seed in range(60):
        jobs, hands, ways, rules = case(seed)
        stands = as_is(jobs, hands, rules=rules, on=day(-2))
        calls, turns = quick(
            jobs, hands, ways, stands.turns, stands.short, placed=(), rules=rules, trainers=None, first=FIRST
        )
        every = [*stands.turns, *turns]
        assert judged(jobs, hands, calls, every, rules) == (), seed
        assert all(call.on >= FIRST and call.on.weekday() < 5 for call in calls)
        # Nobody is called for nothing.
        assert {call.way.hand for call in calls} <= {turn.hand for turn in turns}
        closed += len(turns)
        assert sum(one.missing for one in shortages(every, jobs)) == sum(one.missing for one in stands.short) - len(
            turns
        )
    assert closed > 20


@pytest.mark.usefixtures("large")
def test_near_the_best() -> None:
    """Never better than the best of all plans, never worse than nothing done, and told as unproven."""
    exact = 0
    for seed in range(15):
        jobs, hands = generated(seed, hands=2 + seed % 2, jobs=2, length=4)
        made = random.Random(f"ways {seed}")
        ways = [way(who.key, made.choice([-1, 0, 1]), scheme="bonds") for who in hands if "bonds" not in who.may][:2]
        rules = Rules(row=3)
        found = plan(jobs, hands, ways, rules=rules, on=day(-2))
        best = tried(jobs, hands, ways, rules, day(-2))
        assert best <= (found.missing, found.cost) <= (found.before, found.cost), seed
        assert found.proven == (not found.before)
        exact += (found.missing, found.cost) == best
    assert exact >= 12


@pytest.mark.usefixtures("large")
class TestOutOfTime:
    """With no time at all there is a plan, from what is at hand at once."""

    def found(self) -> GapPlan:
        hands = [hand("ann", may=[]), hand("bob", may=[]), hand("cid", may=[("leads", -9, 90)])]
        jobs = [job("a", 10, wants=[("bonds", 2)]), job("b", 7, wants=[("leads", 1)])]
        ways = [way("bob", 1), way("ann", 5), way("cid", 5)]
        return plan(jobs, hands, ways, rules=Rules(), on=day(0), seconds=0)

    def test_shares_a_visit(self) -> None:
        """The second comes on the day of the first where that is in time: day 7 is the first weekday both can."""
        found = self.found()
        assert (found.before, found.missing, found.proven) == (2, 0, False)
        assert [(one.on, [call.way.hand for call in one.calls]) for one in found.visits] == [(day(7), ["ann", "bob"])]

    def test_keeps_who_is_placed(self) -> None:
        """Whom a plan has elsewhere that day is not called; the other is, though dearer."""
        hands, jobs = [hand("ann", may=[]), hand("bob", may=[])], [job("a", 10), job("b", 10)]
        ranked, short = [way("bob", 1), way("ann", 5)], shortages((), jobs[:1])
        for placed, who in (([sent(10, "b", "bob")], "ann"), ([], "bob")):
            calls, _turns = quick(jobs, hands, ranked, (), short, placed=placed, rules=Rules(), first=day(0))
            assert [call.way.hand for call in calls] == [who]

    def test_leaves_open_what_comes_too_late(self) -> None:
        """A visit after the day of work, and nobody who is able by it."""
        found = plan([job("a", 4)], [hand("bob", may=[])], [way("bob", 9)], rules=Rules(), on=day(0), seconds=0)
        assert (found.visits, found.missing) == ((), 1)


class TestTwoWays:
    """Work confirmed keeps a card to its last day, and a visit renews it from then on."""

    JOBS = (job("a", 4), job("b", 12))
    KEPT = Way("ann", "bonds", (Step.CONFIRM,), day(0), day(9), Decimal(0), Decimal(0))

    def test_both_are_gone(self) -> None:
        """For a job before the last day and one after it; the same when made quickly."""
        ways = [self.KEPT, way("ann", 5)]
        found = plan(self.JOBS, [hand("ann", may=[])], ways, rules=Rules(), on=day(0))
        assert ([one.on for one in found.visits], found.alone, found.missing) == (
            [day(7)],
            (Call(self.KEPT, day(0)),),
            0,
        )
        short = shortages((), self.JOBS)
        asked = (self.JOBS, [hand("ann", may=[])], ways, (), short)
        calls, turns = quick(*asked, placed=(), rules=Rules(), first=day(3))
        assert calls == [Call(self.KEPT, day(0)), Call(ways[1], day(7))]
        assert [turn.day for turn in turns] == [day(4), day(12)]

    def test_what_is_arranged_is_on_its_day(self) -> None:
        """Nearer than anything could be asked for, and not put off to a weekday."""
        for number in (0, 1):
            arranged = replace(way("bob", number), arranged=True)
            asked = (self.JOBS[:1], [hand("bob", may=[])], [arranged], (), shortages((), self.JOBS[:1]))
            calls, _turns = quick(*asked, placed=(), rules=Rules(), first=day(2))
            assert calls == [Call(arranged, day(number))]

    def test_nothing_is_gone_for_nothing(self) -> None:
        """What is left to fill is filled: neither is the work confirmed, nor does a trainer come."""
        ways, short = [way("bob", 1), self.KEPT, way("cid", 1)], shortages((), self.JOBS[:1])
        hands = [hand(name, may=[]) for name in ("ann", "bob", "cid")]
        calls, _turns = quick(self.JOBS, hands, ways, (), short, placed=(), rules=Rules(), first=day(1))
        assert [call.way.hand for call in calls] == ["bob"]

    def test_a_visit_that_leads_nowhere(self) -> None:
        """Seen in time, but resting after a night on the only day: the visit is taken out again."""
        jobs = [job("a", 4), job("n", 3, wants=[("leads", 1)], night=True)]
        ann = hand("ann", may=[("leads", -9, 9)])
        standing = [Turn(day(3), "n", "leads", "ann")]
        short = shortages((), jobs[:1])
        found = quick(jobs, [ann], [way("ann", 1)], standing, short, placed=(), rules=Rules(), first=day(1))
        assert found == ([], [])


class TestSearchWithoutResult:
    """Where the optimiser comes to nothing in its time, what was made way by way stands."""

    def test_plan(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """And what is open as things stand is said to be unsure."""
        monkeypatch.setattr(Sheet, "solve", lambda _self, **_limits: Solved((), False))
        found = plan([job("a", 10)], [hand("bob", may=[])], [way("bob", 1)], rules=Rules(), on=day(0))
        assert (found.before, found.missing, found.sure, found.proven) == (1, 0, False, False)
        assert len(found.visits) == 1

    def test_too_large_for_any(self, monkeypatch: pytest.MonkeyPatch, large: None) -> None:
        """Beyond a size nothing is searched but the days with an open place, with nobody brought to a card."""
        monkeypatch.setattr(planning, "SPARSE", -1)
        found = plan([job("a", 10)], [hand("bob", may=[])], [way("bob", 1)], rules=Rules(), on=day(0))
        assert (found.before, found.missing, found.sure, found.proven) == (1, 0, False, False)

    def test_looks_at_the_nearest(self, monkeypatch: pytest.MonkeyPatch, large: None) -> None:
        """Of many ways the cheapest for each day that is open: enough, and no more than can be searched."""
        seen: list[int] = []
        real = Writing.solved
        monkeypatch.setattr(Writing, "solved", lambda self, most: seen.append(len(self.ways)) or real(self, most))
        hands = [hand(f"h{number:02}", may=[]) for number in range(40)]
        found = plan([job("a", 10)], hands, [way(one.key, 1) for one in hands], rules=Rules(), on=day(0))
        assert (found.missing, seen) == (0, [0, planning.SPARE + 2])

    def test_the_better_one_counts(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """A search that ends with less than was there before changes nothing."""
        worse = found_by((), (), [job("a", 10)], prices=Prices(), proven=False)
        monkeypatch.setattr(Writing, "solved", lambda _self, _seconds: worse)
        found = plan([job("a", 10)], [hand("bob", may=[])], [way("bob", 1)], rules=Rules(), on=day(0))
        assert (found.missing, found.proven) == (0, False)


@pytest.mark.usefixtures("large")
def test_order_changes_nothing() -> None:
    """As with the plan made whole."""
    jobs, hands, ways, rules = case(3)
    found = plan(jobs, hands, ways, rules=rules, on=day(-2))
    assert plan(jobs[::-1], hands[::-1], ways[::-1], rules=rules, on=day(-2)) == found


@pytest.fixture
def today() -> Iterator[None]:
    """Every page is read on the day of the cast."""
    with time_machine.travel(AT, tick=False):
        yield


@pytest.mark.usefixtures("today")
class TestPage:
    def test_asks_a_fixed_number_of_queries(self, cast: Cast, make: Make) -> None:
        """Twelve more people, with cards and without, and more jobs cost no query."""
        make(first_on=ON + timedelta(days=20), last_on=ON + timedelta(days=20), wants={scheme_issue().scheme: 40})
        few = self.queries(cast)
        for number in range(12):
            one = person(f"c{number}", f"Crew {number}", cast.northmoor, Role.CREW)
            if number % 2:
                card(cast, one, on=ON - timedelta(days=170))
        make(
            reference="N-2",
            first_on=ON + timedelta(days=30),
            last_on=ON + timedelta(days=32),
            wants={scheme_issue().scheme: 40},
        )
        assert self.queries(cast) == few
        assert few <= 31

    def queries(self, cast: Cast) -> int:
        with CaptureQueriesContext(connection) as asked:
            found = gap_plan(cast.northmoor, until=ON + timedelta(days=60), on=ON, at=AT)
        assert found.visits
        return len(asked)

    @pytest.mark.usefixtures("large")
    def test_says_that_it_is_not_proven(self, cast: Cast, make: Make) -> None:
        """In plain words, on the page."""
        make(first_on=ON + timedelta(days=20), last_on=ON + timedelta(days=20))
        address = f"/gaps/?until={(ON + timedelta(days=60)).isoformat()}"
        text = cast.client("sol").get(address).content.decode()
        assert "Not proven to be the cheapest" in text
        assert "With this plan all of them can." in text
