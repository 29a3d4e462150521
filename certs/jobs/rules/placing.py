"""People whom a plan already places on a day, as the check of one job has to know of them. Plain values only."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from certs.jobs.rules.plain import Hand, Job, Seat, fits, ranges, seats


@dataclass(frozen=True, slots=True)
class AcceptedPlan:
    """A plan by its key, with the name of whoever accepted it and the moment of that."""

    key: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Placed:
    """A person (`hand`, a key) whom an accepted `plan` sends to a job on a day; `reference` is the job's name."""

    on: date
    job: str
    reference: str
    seat: Seat
    hand: str
    name: str
    plan: AcceptedPlan


# By day and person: the job.
Elsewhere = Mapping[tuple[date, str], str]


def elsewhere(placed: Collection[Placed], job: str) -> Elsewhere:
    """Return who is placed at another job, by day and key, with the reference of that job."""
    return {(one.on, one.hand): one.reference for one in placed if one.job != job}


def free(hands: Sequence[Hand], taken: Elsewhere) -> tuple[Hand, ...]:
    """Return the people with the days on which they are placed elsewhere as days away."""
    busy: dict[str, list[date]] = defaultdict(list)
    for on, key in taken:
        busy[key].append(on)
    return tuple(replace(one, away=(*one.away, *ranges(busy[one.key]))) if one.key in busy else one for one in hands)


def bound(job: Job, hands: Sequence[Hand], placed: Collection[Placed], *, on: date) -> tuple[tuple[Seat, Hand], ...]:
    """Return whom a plan sends to a job on a day and who may go as things stand now, each with their place.

    The crew of the job is no rule here: a plan may send others, and was accepted so.
    """
    who, left, anyone = {one.key: one for one in hands}, list(seats(job)), replace(job, crew=None)
    found: dict[str, tuple[Seat, Hand]] = {}
    for one in placed:
        ours = one.on == on and one.job == job.key and one.seat in left and one.hand not in found
        if ours and one.hand in who and fits(anyone, who[one.hand], one.seat, on=on):
            found[one.hand] = (one.seat, who[one.hand])
            left.remove(one.seat)
    return tuple(found.values())


def missed(job: Job, hands: Sequence[Hand], taken: Elsewhere, *, on: date) -> tuple[Hand, ...]:
    """Return who could fill a place of a job on a day, were they not placed elsewhere."""
    return tuple(
        one for one in hands if (on, one.key) in taken and any(fits(job, one, seat, on=on) for seat in seats(job))
    )
