"""Choosing whom to bring to which card, and on which days a trainer comes. Plain values only.

A company of some dozens is planned whole, and its plan is proven. For a larger one only the days with an open place are
planned, among the ways that lead there cheapest: a good plan in the time a page may take, which is not proven.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from time import monotonic
from typing import Any

from certs.crewing.rules import COVER, Rules, Shortage, Turn, shortages
from certs.crewing.rules.greedy import greedy
from certs.crewing.rules.plan import wanted
from certs.crewing.rules.wishes import shares
from certs.gaps.rules.parts import Call, GapPlan, Prices
from certs.gaps.rules.quick import quick
from certs.gaps.rules.trainers import Trainers
from certs.gaps.rules.ways import DAY, Way
from certs.gaps.rules.writing import Found, Writing, found_by, kept, ready
from certs.jobs.rules import Hand, Job, Placed, covers, days, elsewhere, free

# Turns and visits to choose from up to which all is planned at once: with more it takes longer than a page may.
WHOLE = 8_000
# The same with nobody to be brought to a card, or where only some days are planned.
SPARSE = 20_000
# Ways looked at for a scheme, beside twice as many as places are open on a day.
SPARE = 20


@dataclass(frozen=True, slots=True)
class AsIs:
    """How things stand with nothing done: who works where, and what is open; `sure` says that it is no less."""

    turns: tuple[Turn, ...]
    short: tuple[Shortage, ...]
    sure: bool


def as_is(
    jobs: Sequence[Job],
    hands: Sequence[Hand],
    *,
    placed: Collection[Placed] = (),
    rules: Rules,
    on: date,
    seconds: float = 20,
) -> AsIs:
    """Return who works where at one employer's jobs after a day with as few places open as can be, nothing being done.

    Whom `placed` sends to a job keeps that place while they may go, and is at no other job that day.
    """
    jobs, hands = sorted(jobs, key=lambda job: job.key), sorted(hands, key=lambda hand: hand.key)
    ends, share = monotonic() + seconds, max(shares(jobs, hands).values(), default=0)
    there = free(hands, elsewhere(placed, ""))
    turns = greedy(jobs, there, kept(jobs, hands, placed), share=share, rules=rules)
    first = AsIs(turns, shortages(turns, jobs), False)
    if not first.short:
        return replace(first, sure=True)
    write = partial(Writing, jobs, hands, (), placed=placed, rules=rules, on=on, prices=Prices(), notice=1)
    whole = _size(jobs, hands, (), on=on) <= SPARSE
    found = write(still=() if whole else _still(first)).solved(ends - monotonic())
    if found is None or found.plan.missing > sum(one.missing for one in first.short):
        return first
    return AsIs(found.turns, found.plan.short, not found.plan.short or (whole and found.plan.proven))


def plan(
    jobs: Sequence[Job],
    hands: Sequence[Hand],
    ways: Sequence[Way],
    *,
    rules: Rules,
    on: date,
    placed: Collection[Placed] = (),
    stands: AsIs | None = None,
    trainers: Trainers | None = None,
    prices: Prices | None = None,
    notice: int = 1,
    seconds: float = 20,
) -> GapPlan:
    """Return the cheapest plan found after day `on` that leaves as few places of one employer's jobs open as can be.

    Jobs lie after that day, and visits at least `notice` days after it. Whom `placed` sends to a job is at no visit
    that day either. Without `trainers` as many come as are wanted. `stands` is what `as_is` says, where that is known.
    The same jobs, hands and ways in any order give the same plan, unless the time is up.
    """
    ends, prices = monotonic() + seconds, prices or Prices()
    if stands is None:
        stands = as_is(jobs, hands, placed=placed, rules=rules, on=on, seconds=seconds / 3)
    jobs, hands = sorted(jobs, key=lambda job: job.key), sorted(hands, key=lambda hand: hand.key)
    ways = sorted(ways, key=lambda way: (way.hand, way.scheme, way.steps))
    given: dict[str, Any] = {"placed": placed, "rules": rules, "trainers": trainers}
    write: Callable[..., Writing] = partial(Writing, jobs, hands, on=on, prices=prices, notice=notice, **given)
    best = found_by(stands.turns, (), jobs, prices=prices, proven=stands.sure and not stands.short)
    if stands.short and _size(jobs, hands, ways, on=on) <= WHOLE:
        best = _better(best, write(ways).solved((ends - monotonic()) * 2 / 3))
    if not best.plan.proven:
        ranked = _ranked(ways, stands.short, hands, prices=prices)
        first, some = on + notice * DAY, (jobs, hands, ranked, stands.turns, stands.short)
        calls, turns = quick(*some, first=first, **given)
        best = _better(best, found_by((*stands.turns, *turns), _in_order(calls), jobs, prices=prices, proven=False))
        near = _nearest(ranked, stands.short)
        if _size(_on_days(jobs, stands.short), hands, near, on=on) <= SPARSE:
            best = _better(best, write(near, still=_still(stands)).solved(ends - monotonic()))
        best = replace(best, plan=replace(best.plan, proven=False))
    return replace(best.plan, as_is=stands.short, sure=stands.sure)


def _ranked(ways: Sequence[Way], short: Sequence[Shortage], hands: Sequence[Hand], *, prices: Prices) -> list[Way]:
    """Return the ways that lead to work on days with an open place, by their price for each such day.

    A day counts on which the person is there and may work by the way, and not without it.
    """
    on, who = {one.day for one in short}, {hand.key: hand for hand in hands}
    reached = {way: _reached(way, who[way.hand], on) for way in ways if way.hand in who}
    useful = [way for way, many in reached.items() if many]
    return sorted(useful, key=lambda way: prices.of(way) / reached[way])


def _nearest(ranked: Sequence[Way], short: Sequence[Shortage]) -> list[Way]:
    """Return the first ways of each scheme, a few more than places are open on any day."""
    missing: Counter[date] = Counter()
    for one in short:
        missing[one.day] += one.missing
    left = defaultdict[str, int](lambda: SPARE + 2 * max(missing.values()))
    found = []
    for way in ranked:
        left[way.scheme] -= 1
        if left[way.scheme] >= 0:
            found.append(way)
    return sorted(found, key=lambda way: (way.hand, way.scheme, way.steps))


def _on_days(jobs: Sequence[Job], short: Sequence[Shortage]) -> list[Job]:
    """Return a job for each of their days on which something is open at any job."""
    on = {one.day for one in short}
    return [replace(job, first=day, last=day) for job in jobs for day in days(job) if day in on]


def _in_order(calls: Sequence[Call]) -> list[Call]:
    return sorted(calls, key=lambda call: (call.on, call.way.scheme, call.way.hand))


def _reached(way: Way, hand: Hand, on: Iterable[date]) -> int:
    held = hand.may.get(way.scheme, ())
    begins = ready(way, way.from_on)
    return sum(begins <= day <= way.until and not covers(held, day) and not covers(hand.away, day) for day in on)


def _size(jobs: Sequence[Job], hands: Sequence[Hand], ways: Sequence[Way], *, on: date) -> int:
    """Return how many turns and visits there are to choose from, or a few more."""
    able = Counter(scheme for hand in hands for scheme in hand.may)
    able.update({(way.hand, way.scheme): way.scheme for way in ways}.values())
    able[COVER] += sum(hand.supervisor for hand in hands)
    turns = sum(len(days(job)) * able[scheme] for job in jobs for scheme, _holders in wanted(job))
    last = max((job.last for job in jobs), default=on)
    return turns + sum(max(0, (last - max(on, way.from_on)).days) for way in ways if way.seen)


def _still(stands: AsIs) -> tuple[Turn, ...]:
    """Return the turns of the days on which nothing is open."""
    short = {one.day for one in stands.short}
    return tuple(turn for turn in stands.turns if turn.day not in short)


def _better(one: Found, other: Found | None) -> Found:
    """Return the plan that leaves less open, or the cheaper one of two that leave as much; the second of equals."""
    if other is None or (one.plan.missing, one.plan.cost) < (other.plan.missing, other.plan.cost):
        return one
    return other
