"""A job, the people who may do it, and whether one person fills one of its places on a day.

A day is a local day; the first and the last day of a range both count.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

Ranges = tuple[tuple[date, date], ...]

# A season; what is planned for longer is several jobs (common practice, no source).
MOST_DAYS = 92
DAY = timedelta(days=1)


class Reason(StrEnum):
    """Why a person is away; nothing more about it is kept."""

    LEAVE = "leave"
    COURSE = "course"
    ILLNESS = "illness"


@dataclass(frozen=True, slots=True)
class Want:
    """So many holders of cards of a scheme, on every day of a job."""

    scheme: str
    holders: int


@dataclass(frozen=True, slots=True)
class Job:
    """Work at a place from the first to the last day.

    `bonds` are to be made in all, or on each day where `each_day` holds. Holders come from the crew named, or from
    the whole employer. With `cover`, a supervisor is there as well, whatever crew they are of.
    """

    key: str
    employer: str
    place: str
    first: date
    last: date
    wants: tuple[Want, ...]
    bonds: int
    cold: bool
    night: bool
    crew: str | None
    cover: bool
    each_day: bool = False


@dataclass(frozen=True, slots=True)
class Hand:
    """A person who can be sent out.

    `may` says by scheme on which days a card holds, as far as is known today. `crew` is the crew of the first day
    looked at, None for none; `crews` has every crew with its days, and where it is empty `crew` counts throughout.
    """

    key: str
    name: str
    crew: str | None
    employer: str
    may: Mapping[str, Ranges]
    supervisor: bool
    away: Ranges
    crews: Mapping[str, Ranges] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Seat:
    """A place that one person fills for a day: as holder of a card of `scheme`, or as supervisor where it is None."""

    scheme: str | None


def covers(spells: Ranges, on: date) -> bool:
    """Say whether a day lies in one of the ranges."""
    return any(first <= on <= last for first, last in spells)


def ranges(found: Iterable[date]) -> Ranges:
    """Put days together into ranges, in order; a day given twice counts once."""
    made: list[tuple[date, date]] = []
    for day in sorted(set(found)):
        if made and made[-1][1] + DAY == day:
            made[-1] = (made[-1][0], day)
        else:
            made.append((day, day))
    return tuple(made)


def shared(one: Ranges, other: Ranges) -> Ranges:
    """Return the days that lie in both, in order."""
    both = ((max(first, begins), min(last, ends)) for first, last in one for begins, ends in other)
    return tuple(sorted(spell for spell in both if spell[0] <= spell[1]))


def days(job: Job) -> tuple[date, ...]:
    """Return every day of a job, in order."""
    return tuple(job.first + place * DAY for place in range((job.last - job.first).days + 1))


def bonds_on(job: Job, on: date) -> int:
    """Return the bonds to be made on a day of the job: all of them spread evenly, the odd ones on the first days."""
    if job.each_day:
        return job.bonds
    each, odd = divmod(job.bonds, (job.last - job.first).days + 1)
    return each + ((on - job.first).days < odd)


def seats(job: Job) -> tuple[Seat, ...]:
    """Return the places of one day: the holders in the order they are wanted, then the supervisor."""
    holders = tuple(Seat(want.scheme) for want in job.wants for _each in range(want.holders))
    return (*holders, Seat(None)) if job.cover else holders


def in_crew(hand: Hand, crew: str | None, on: date) -> bool:
    """Say whether a person is in a crew on a day; no crew asks for nothing."""
    if crew is None:
        return True
    return covers(hand.crews.get(crew, ()), on) if hand.crews else hand.crew == crew


def fits(job: Job, hand: Hand, seat: Seat, *, on: date) -> bool:
    """Say whether a person may fill a place of a job on a day: the hard rules, all of them.

    Of the same employer, not away; for a card's place in the crew and with a card that holds; for cover a supervisor.
    That nobody fills two places on one day is the matching's part.
    """
    if hand.employer != job.employer or covers(hand.away, on):
        return False
    if seat.scheme is None:
        return hand.supervisor
    return in_crew(hand, job.crew, on) and covers(hand.may.get(seat.scheme, ()), on)
