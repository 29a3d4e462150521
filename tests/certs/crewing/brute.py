"""The best plan by trying every one: a hand's days are all combined, then all hands', with nothing of the optimiser.

Points belong to one hand each, so of all ways to fill the same places only the cheapest is carried on; no other way
is left out.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import product

from certs.crewing.rules import COVER, Rules
from certs.jobs.rules import Hand, Job

DAY = timedelta(days=1)
Option = tuple[Job, str] | None


def best(jobs: list[Job], hands: list[Hand], rules: Rules) -> tuple[int, int]:
    """Return the fewest places left open and the fewest points with so many."""
    days = sorted({job.first + step * DAY for job in jobs for step in range((job.last - job.first).days + 1)})
    places = {}
    for job in jobs:
        for on in days:
            if job.first <= on <= job.last:
                places |= {(on, job.key, want.scheme): want.holders for want in job.wants}
                places |= {(on, job.key, COVER): 1} if job.cover else {}
    keys = sorted(places)
    turns = sum(places.values())
    share = -(-turns // len(hands)) if hands else 0
    ways: dict[tuple[int, ...], int] = {tuple(places[key] for key in keys): 0}
    for hand in hands:
        known: dict[tuple[int, ...], int] = {}
        for taken, points in _lives(hand, days, jobs, rules, share):
            for left, before in ways.items():
                after = tuple(open_ - (key in taken) for key, open_ in zip(keys, left, strict=True))
                if min(after) >= 0:
                    known[after] = min(known.get(after, 10**9), before + points)
        ways = known
    return min((sum(left), points) for left, points in ways.items())


def _lives(
    hand: Hand, days: list[date], jobs: list[Job], rules: Rules, share: int
) -> Iterator[tuple[set[tuple[date, str, str]], int]]:
    """Yield every lawful way for a hand to spend the days, with its points."""
    choices = [[None, *_open_to(hand, on, jobs)] for on in days]
    for life in product(*choices):
        spent: dict[date, Option] = dict(zip(days, life, strict=True))
        busy = {on: one for on, one in spent.items() if one is not None}
        if not _rested(busy, rules):
            continue
        points = sum(
            rules.stranger * (scheme != COVER and job.crew not in (None, hand.crew)) for job, scheme in busy.values()
        )
        for on, (job, _scheme) in busy.items():
            yesterday = busy.get(on - DAY)
            points += rules.journey * (yesterday is None or yesterday[0].place != job.place)
        points += rules.uneven * max(0, len(busy) - share)
        points += rules.slot * sum(1 for free in _chances(hand, days, rules) if free <= set(busy))
        yield {(on, job.key, scheme) for on, (job, scheme) in busy.items()}, points


def _open_to(hand: Hand, on: date, jobs: list[Job]) -> Iterator[Option]:
    if any(first <= on <= last for first, last in hand.away):
        return
    for job in jobs:
        if job.first <= on <= job.last:
            for want in job.wants:
                if any(first <= on <= last for first, last in hand.may.get(want.scheme, ())):
                    yield job, want.scheme
            if job.cover and hand.supervisor:
                yield job, COVER


def _rested(busy: dict[date, tuple[Job, str]], rules: Rules) -> bool:
    for on, (job, _scheme) in busy.items():
        tomorrow = busy.get(on + DAY)
        if job.night and tomorrow is not None and not tomorrow[0].night:
            return False
        if all(on + step * DAY in busy for step in range(rules.row + 1)):
            return False
    return True


def _chances(hand: Hand, days: list[date], rules: Rules) -> Iterator[set[date]]:
    """Yield the days free for training before each card that ends within the days of the plan."""
    for spells in hand.may.values():
        for _first, last in spells:
            before = {last - back * DAY for back in range(rules.slot_days)}
            gone = {on for on in before if any(first <= on <= end for first, end in hand.away)}
            free = {on for on in before - gone if on >= days[0]}
            if days[0] <= last <= days[-1] and free:
                yield free
