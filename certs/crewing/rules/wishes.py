"""What a plan costs in wishes not met, counted from the plan itself. Plain values only."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from certs.crewing.rules.plan import COVER, DAY, Rules, Turn, wanted
from certs.jobs.rules import Hand, Job, covers, in_crew


@dataclass(frozen=True, slots=True)
class Wishes:
    """How often a wish is not met, and what it comes to in points."""

    strangers: int
    journeys: int
    uneven: int
    slots: int
    points: int


def shares(jobs: Sequence[Job], hands: Sequence[Hand]) -> dict[str, int]:
    """Return an equal share of the turns for each hand of an employer, rounded up."""
    turns: dict[str, int] = defaultdict(int)
    staff: dict[str, int] = defaultdict(int)
    for job in jobs:
        turns[job.employer] += ((job.last - job.first).days + 1) * sum(holders for _scheme, holders in wanted(job))
    for hand in hands:
        staff[hand.employer] += 1
    return {employer: -(-turns[employer] // many) for employer, many in staff.items()}


def slots(hand: Hand, jobs: Sequence[Job], length: int) -> Iterator[tuple[date, ...]]:
    """Yield, for each card of a hand that ends while the jobs last, the days on which training could be had.

    A card followed by another of the same scheme on the day after is renewed already. Days away are no days for
    training, and a card with none at all is nobody's choice any more.
    """
    first, last = min(job.first for job in jobs), max(job.last for job in jobs)
    for spells in (hand.may[scheme] for scheme in sorted(hand.may)):
        for _begins, ends in spells:
            if first <= ends <= last and not covers(spells, ends + DAY):
                days = (ends - back * DAY for back in range(length))
                free = tuple(day for day in days if day >= first and not covers(hand.away, day))
                if free:
                    yield free


def stranger(hand: Hand, job: Job, scheme: str, day: date) -> bool:
    """Say whether a job belongs to a crew the hand is not in that day; a supervisor may be of any."""
    return scheme != COVER and not in_crew(hand, job.crew, day)


def cost(turns: Iterable[Turn], jobs: Sequence[Job], hands: Sequence[Hand], *, rules: Rules) -> Wishes:
    """Count the wishes a plan does not meet; the plan is one that `check` passes."""
    at, who = {job.key: job for job in jobs}, {hand.key: hand for hand in hands}
    there: dict[str, dict[date, str]] = defaultdict(dict)
    strangers = 0
    for turn in turns:
        there[turn.hand][turn.day] = at[turn.job].place
        strangers += stranger(who[turn.hand], at[turn.job], turn.scheme, turn.day)
    journeys = sum(days.get(day - DAY) != place for days in there.values() for day, place in days.items())
    share = shares(jobs, hands)
    uneven = sum(max(0, len(there[key]) - share[hand.employer]) for key, hand in who.items())
    none_free = sum(
        all(day in there[hand.key] for day in free)
        for hand in hands
        for free in (slots(hand, jobs, rules.slot_days) if jobs else ())
    )
    return _weighed(strangers, journeys, uneven, none_free, rules)


def _weighed(strangers: int, journeys: int, uneven: int, none_free: int, rules: Rules) -> Wishes:
    points = rules.stranger * strangers + rules.journey * journeys + rules.uneven * uneven + rules.slot * none_free
    return Wishes(strangers, journeys, uneven, none_free, points)
