"""The gap plan: what a person still needs, and the cheapest plan, held against trying every one."""

import random
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import product

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from certs.crewing.rules import COVER, Rules
from certs.gaps.rules import Call, GapPlan, Prices, Trainers, Way, bound_elsewhere, plan, ways_of
from certs.gaps.rules.ways import DECIDING
from certs.jobs.rules import AcceptedPlan, Hand, Job, Placed, Seat, Want, covers
from certs.records.rules import Step
from tests.certs.crewing import brute
from tests.certs.crewing.cases import day, generated, hand, job

HALF, NONE = Decimal("0.5"), Decimal(0)
RULES = Rules(row=4)


def way(who: str, first: int, *, scheme: str = "bonds", trainer: Decimal = HALF, after: int = 0) -> Way:
    """Return a way with nothing left but the practical, from a day on."""
    return Way(who, scheme, (Step.PRACTICAL,), day(first), date.max, trainer, trainer, after)


def sent(number: int, at: str, who: str, scheme: str = "bonds") -> Placed:
    """Return a placing of an accepted plan, on a day by number."""
    accepted = AcceptedPlan("p", "Sol", datetime(2026, 11, 1, tzinfo=UTC))
    return Placed(day(number), at, at.upper(), Seat(scheme), who, who, accepted)


def trainers_of(seed: int) -> Trainers:
    """Return one or two trainers, who may assess under one scheme or both and are elsewhere on some days."""
    made = random.Random(f"trainers {seed}")
    some = ["tom", "una"][: 1 + seed % 2]
    assess = {scheme: frozenset(one for one in some if made.random() < 0.8) for scheme in ("bonds", "leads")}
    engaged = {day(number): frozenset(one for one in some if made.random() < 0.4) for number in range(-1, 4)}
    return Trainers(assess, engaged=engaged)


class TestWays:
    """From the step that comes next to everything that is left."""

    def test_from_the_beginning(self) -> None:
        """Reading, paper and practical: a day for each that one does alone, then the trainer."""
        (found,) = ways_of("ann", "bonds", Step.READ, on=day(0))
        assert found.steps == (Step.READ, Step.SIT, Step.PRACTICAL)
        assert (found.from_on, found.until, found.trainer, found.person) == (day(2), date.max, HALF, Decimal("1.5"))
        assert found.seen

    @pytest.mark.parametrize("step", [Step.PRACTICAL, Step.PRACTICAL_AGAIN])
    def test_only_the_practical(self, step: Step) -> None:
        """What is done is not asked for again; the scheme says how long a trainer takes, and somebody else decides."""
        (found,) = ways_of("ann", "bonds", step, on=day(0), trainer=Decimal("0.25"), separate=True)
        assert (found.steps, found.from_on) == ((Step.PRACTICAL,), day(1))
        assert (found.trainer, found.person, found.after) == (Decimal("0.25"), Decimal("0.25"), DECIDING)

    def test_a_wait(self) -> None:
        """A paper missed is sat again from its day on."""
        (found,) = ways_of("ann", "bonds", Step.WAIT, on=day(0), day=day(9))
        assert (found.steps, found.from_on) == ((Step.SIT, Step.PRACTICAL), day(10))

    def test_a_card_to_be_confirmed(self) -> None:
        """Confirmed work costs nothing and holds to the last day; renewal is another way, once it opens."""
        kept, renewed = ways_of("ann", "bonds", Step.CONFIRM, on=day(0), last_day=day(60), renew_from=day(20))
        assert (kept.steps, kept.from_on, kept.until, kept.trainer, kept.person) == (
            (Step.CONFIRM,), day(0), day(60), NONE, NONE,
        )  # fmt: skip
        assert not kept.seen
        assert (renewed.steps, renewed.from_on) == ((Step.SIT, Step.PRACTICAL), day(21))

    def test_nothing_to_do(self) -> None:
        """A card that holds is renewed when renewal opens; a suspension is nobody's to get round."""
        (found,) = ways_of("ann", "bonds", Step.NOTHING, on=day(0), last_day=day(90), renew_from=day(30))
        assert found.from_on == day(31)
        assert ways_of("ann", "bonds", Step.NOTHING, on=day(0)) == ()
        assert ways_of("ann", "bonds", Step.ASK, on=day(0), last_day=day(90), renew_from=day(30)) == ()
        assert ways_of("ann", "bonds", Step.START, on=day(0)) == ()


class TestPlan:
    """The plan by cases that are told by eye."""

    def test_no_gap(self) -> None:
        """Where the jobs can be crewed, nothing is planned; and neither where there are none."""
        found = plan([job("a")], [hand("ann")], [way("ann", 1)], rules=RULES, on=day(-9))
        assert found == GapPlan((), (), (), (), NONE, NONE, NONE, True)
        assert plan([], [hand("ann")], [way("ann", 1)], rules=RULES, on=day(0)).visits == ()

    def test_one_call(self) -> None:
        """The visit comes on a weekday before the job, as early as can be; the price adds up."""
        bob = hand("bob", may=[])
        found = plan([job("a", 10)], [bob], [way("bob", 5)], rules=RULES, on=day(0), prices=Prices())
        # Day 5 and 6 are Saturday and Sunday.
        assert found.visits[0].on == day(7)
        assert found.visits[0].calls == (Call(way("bob", 5), day(7)),)
        assert (found.before, found.short, found.trainer, found.person) == (1, (), HALF, HALF)
        assert found.cost == 2 * HALF + HALF + HALF

    def test_arranged(self) -> None:
        """Whoever has a visit arranged comes before others; the days count, but cost nothing more."""
        hands = [hand("ann", may=[]), hand("bob", may=[])]
        ways = [way("ann", 1), replace(way("bob", 3), arranged=True)]
        found = plan([job("a", 10)], hands, ways, rules=RULES, on=day(0))
        assert [(visit.on, visit.calls[0].way.hand) for visit in found.visits] == [(day(3), "bob")]
        assert (found.trainer, found.cost) == (HALF, HALF)

    def test_arranged_is_on_its_day(self) -> None:
        """Tomorrow with three days' notice, on a Saturday, and not on another day where that one is taken."""
        for number in (1, 5):
            arranged = replace(way("bob", number), arranged=True)
            found = plan([job("a", 10)], [hand("bob", may=[])], [arranged], rules=RULES, on=day(0), notice=3)
            assert [visit.on for visit in found.visits] == [day(number)]
        jobs = [job("a", 10), job("b", 3, wants=[("leads", 1)])]
        bob, late = hand("bob", may=[("leads", -9, 9)]), replace(way("bob", 3), arranged=True)
        found = plan(jobs, [bob], [late], placed=[sent(3, "b", "bob", "leads")], rules=RULES, on=day(0))
        assert (found.visits, found.missing) == ((), 1)

    def test_notice(self) -> None:
        """A visit lies so many days ahead, though the person be ready before."""
        found = plan([job("a", 10)], [hand("bob", may=[])], [way("bob", 1)], rules=RULES, on=day(0), notice=3)
        assert found.visits[0].on == day(3)

    def test_two_fit_into_a_day(self) -> None:
        """Two half days are one coming; three are two."""
        hands = [hand(name, may=[]) for name in ("ann", "bob", "cid")]
        ways = [way(one.key, 1) for one in hands]
        two = plan([job("a", 4, wants=[("bonds", 2)])], hands, ways, rules=RULES, on=day(0))
        assert [(one.on, len(one.calls), one.trainer) for one in two.visits] == [(day(1), 2, Decimal(1))]
        three = plan([job("a", 4, wants=[("bonds", 3)])], hands, ways, rules=RULES, on=day(0))
        assert sorted(len(one.calls) for one in three.visits) == [1, 2]

    def test_too_late(self) -> None:
        """What cannot be in time is not planned, and the place stays open: here the decision takes a day too many."""
        late = [way("bob", 1, after=3)]
        found = plan([job("a", 4)], [hand("bob", may=[])], late, rules=RULES, on=day(0))
        assert (found.visits, found.before, [one.missing for one in found.short]) == ((), 1, [1])
        assert found.proven
        in_time = plan([job("a", 4)], [hand("bob", may=[])], [way("bob", 1, after=2)], rules=RULES, on=day(0))
        assert (in_time.visits[0].on, in_time.short) == (day(1), ())

    def test_cheapest_person(self) -> None:
        """Of two who could be brought, the one with less to do; work that is only to be confirmed comes before both."""
        hands = [hand("ann", may=[]), hand("bob", may=[])]
        ways = [
            Way("ann", "bonds", (Step.READ, Step.SIT, Step.PRACTICAL), day(2), date.max, HALF, Decimal("1.5")),
            way("bob", 1),
        ]
        found = plan([job("a", 4)], hands, ways, rules=RULES, on=day(0))
        assert [call.way.hand for visit in found.visits for call in visit.calls] == ["bob"]
        kept = Way("ann", "bonds", (Step.CONFIRM,), day(0), day(9), NONE, NONE)
        found = plan([job("a", 4)], hands, [*ways, kept], rules=RULES, on=day(0))
        assert (found.visits, found.alone, found.cost) == ((), (Call(kept, day(0)),), NONE)

    def test_busy_on_the_only_day(self) -> None:
        """Nobody is at a visit and at work on one day, or away and at a visit."""
        ann = hand("ann", may=[("leads", -9, 9)])
        jobs = [job("a", 2), job("b", 1, wants=[("leads", 1)])]
        found = plan(jobs, [ann], [way("ann", 1)], rules=RULES, on=day(0))
        assert (found.visits, found.before, len(found.short)) == ((), 1, 1)
        gone = plan([job("a", 2)], [hand("ann", may=[], away=[(1, 1)])], [way("ann", 1)], rules=RULES, on=day(0))
        assert gone.visits == ()

    def test_placed_elsewhere(self) -> None:
        """Whom an accepted plan has at one job fills that place and no other: it is the other that stays open."""
        jobs, hands = [job("a"), job("b")], [hand("ann"), hand("bob", may=[])]
        for at, short in (("a", "b"), ("b", "a")):
            found = plan(jobs, hands, (), rules=RULES, on=day(-9), placed=[sent(0, at, "ann")])
            assert [(one.job, one.missing) for one in found.as_is] == [(short, 1)]
            (bound,) = bound_elsewhere(found.as_is, jobs, hands, [sent(0, at, "ann")])
            assert (bound.on, bound.job, bound.at, bound.hands) == (day(0), short, at.upper(), ("ann",))
        assert plan(jobs[:1], hands, (), rules=RULES, on=day(-9), placed=[sent(0, "a", "ann")]).before == 0

    def test_placed_and_may_not_go(self) -> None:
        """A place that the plan gives to somebody without a card is open, and they are free for no other that day."""
        jobs, bob = [job("a", 10), job("b", 10)], hand("bob", may=[])
        found = plan(jobs, [bob], [way("bob", 5)], rules=RULES, on=day(0), placed=[sent(10, "a", "bob")])
        assert (found.before, [one.job for one in found.short]) == (2, ["b"])
        assert len(found.visits) == 1

    def test_no_visit_on_a_day_placed(self) -> None:
        """Nobody is seen by a trainer on a day on which a plan has them at a job: here Monday, and so on Tuesday."""
        bob = hand("bob", may=[("leads", -9, 90)])
        jobs, ways = [job("a", 10), job("b", 7, wants=[("leads", 1)])], [way("bob", 5)]
        assert plan(jobs, [bob, hand("cid", may=[("leads", -9, 90)])], ways, rules=RULES, on=day(0)).visits[
            0
        ].on == day(7)
        found = plan(jobs, [bob], ways, rules=RULES, on=day(0), placed=[sent(7, "b", "bob", "leads")])
        assert ([one.on for one in found.visits], found.short) == ([day(8)], ())

    def test_bound_as_supervisor(self) -> None:
        """Of those who are placed elsewhere the one is told who could fill the place, whatever crew the job names."""
        jobs = [job("a", cover=True, crew="blue"), job("b"), job("c")]
        hands = [hand("ann", supervisor=True), hand("bob")]
        placed = [sent(0, "b", "ann"), sent(0, "c", "bob")]
        found = plan(jobs, hands, (), rules=RULES, on=day(-9), placed=placed)
        told = bound_elsewhere(found.as_is, jobs, hands, placed)
        assert [(one.job, one.at, one.hands) for one in told] == [("a", "B", ("ann",)), ("a", "C", ("bob",))]
        cover = [one for one in found.as_is if one.scheme == COVER]
        assert [one.hands for one in bound_elsewhere(cover, jobs, hands, placed)] == [("ann",)]

    def test_order_changes_nothing(self) -> None:
        """Hands, jobs and ways in another order give the same plan."""
        hands = [hand(name, may=[]) for name in ("ann", "bob", "cid", "dee")]
        jobs, ways = [job("a", 3), job("b", 3), job("c", 4)], [way(one.key, 1) for one in hands]
        found = plan(jobs, hands, ways, rules=RULES, on=day(0))
        assert plan(jobs[::-1], hands[::-1], ways[::-1], rules=RULES, on=day(0)) == found

    def test_a_whole_day_or_none(self) -> None:
        """A practical that takes a whole day fills a visit, one that takes a trainer nothing is no limit."""
        hands = [hand(name, may=[]) for name in ("ann", "bob")]
        whole = [way(one.key, 1, trainer=Decimal(1)) for one in hands]
        asked = [job("a", 4, wants=[("bonds", 2)])]
        assert len(plan(asked, hands, whole, rules=RULES, on=day(0)).visits) == 2
        none = [way(one.key, 1, trainer=NONE) for one in hands]
        assert len(plan(asked, hands, none, rules=RULES, on=day(0)).visits) == 1


def tried(  # noqa: PLR0917
    jobs: list[Job], hands: list[Hand], ways: list[Way], rules: Rules, on: date, trainers: Trainers | None = None
) -> tuple[int, Decimal]:
    """Return the fewest places left open, then the least cost with so many, by trying every set of ways and days."""
    last, prices, best = max(one.last for one in jobs), Prices(), (10**6, Decimal(0))
    away = {one.key: one.away for one in hands}
    for days in product(*(_days(one, on, last) for one in ways)):
        gone = [(one, when) for one, when in zip(ways, days, strict=True) if when is not None]
        visits: dict[tuple[date, str], int] = {}
        for one, when in gone:
            visits[when, one.scheme] = visits.get((when, one.scheme), 0) + 1
        if any(covers(away[one.hand], when) for one, when in gone):
            continue
        if trainers and not all(hosted(trainers, visits, when) for _one, when in gone):
            continue
        comings = sum(-(-many // 2) for many in visits.values())
        trainer, person = sum(one.trainer for one, _ in gone), sum(one.person for one, _ in gone)
        cost = prices.trainer * trainer + prices.person * person + prices.coming * comings
        missing, _points = brute.best([*jobs, *_busy(gone)], _changed(hands, gone, last), rules)
        best = min(best, (missing, cost))
    return best


def hosted(trainers: Trainers, visits: Mapping[tuple[date, str], int], on: date) -> bool:
    """Say whether each coming of a day, of two people each, can have a trainer of its own: by scipy's matching."""
    comings = [scheme for (when, scheme), many in visits.items() if when == on for _ in range(-(-many // 2))]
    everybody = sorted(frozenset[str]().union(*trainers.assess.values()))
    engaged = trainers.engaged.get(on, frozenset())
    can = [[one in trainers.assess.get(scheme, ()) and one not in engaged for one in everybody] for scheme in comings]
    matched = maximum_bipartite_matching(csr_array(np.array(can, dtype=int)), perm_type="column") if everybody else [-1]
    return bool((np.array(matched) >= 0).all())


def _days(one: Way, on: date, last: date) -> Iterator[date | None]:
    yield None
    when = max(on + timedelta(days=1), one.from_on)
    while when < last:
        if when.weekday() < 5:
            yield when
        when += timedelta(days=1)


def _busy(gone: list[tuple[Way, date]]) -> list[Job]:
    return [
        replace(
            job("visit"),
            key=f"{one.hand}{one.scheme}",
            first=when,
            last=when,
            wants=(Want(f"{one.hand}{one.scheme}", 1),),
        )
        for one, when in gone
    ]


def _changed(hands: list[Hand], gone: list[tuple[Way, date]], last: date) -> list[Hand]:
    changed = []
    for one in hands:
        may = dict(one.may)
        for path, when in gone:
            if path.hand == one.key:
                ready = when + timedelta(days=1 + path.after)
                may[path.scheme] = (*may.get(path.scheme, ()), (ready, last))
                may[f"{path.hand}{path.scheme}"] = ((when, when),)
        changed.append(replace(one, may=may))
    return changed


@pytest.mark.parametrize("block", range(4))
def test_best_of_all_plans(block: int) -> None:
    """Of 60 small cases, each plan leaves as little open and costs as little as the best of all plans there are.

    In two thirds of them there are few trainers, who cannot come on some days.
    """
    for seed in range(15 * block, 15 * block + 15):
        jobs, hands = generated(seed, hands=2 + seed % 2, jobs=2, length=4)
        made, on = random.Random(f"ways {seed}"), day(-2)
        ways = [
            way(who.key, made.choice([-1, 0, 1]), scheme=scheme, after=made.choice([0, 0, 1]))
            for who in hands
            for scheme in ("bonds", "leads")
            if day(2) > max((last for _first, last in who.may.get(scheme, ())), default=day(0)) and made.random() < 0.7
        ][:3]
        rules = Rules(row=made.choice([2, 3]))
        few = trainers_of(seed) if seed % 3 else None
        found = plan(jobs, hands, ways, trainers=few, rules=rules, on=on)
        missing = sum(one.missing for one in found.short)
        assert (missing, found.cost) == tried(jobs, hands, ways, rules, on, few), seed
        assert found.proven
