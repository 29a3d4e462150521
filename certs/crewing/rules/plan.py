"""What a plan is made of, and what it leaves open. Plain values only."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from certs.jobs.rules import Job, days

DAY = timedelta(days=1)
COVER = ""  # stands for the scheme in the place of a supervisor


class Rule(StrEnum):
    """A hard rule: no plan may break it."""

    KNOWN = "known"
    EMPLOYER = "employer"
    WANTED = "wanted"
    CARD = "card"
    SUPERVISOR = "supervisor"
    AWAY = "away"
    ONE_PLACE = "one place"
    REST = "rest"
    ROW = "days in a row"


# What a planner can talk about; the others cannot be left out.
RELAXED = (Rule.REST, Rule.ROW, Rule.AWAY, Rule.CARD)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """Settings of a plan.

    `row` is the most days on end that anyone works: six leave a day in seven free (Directive 2003/88/EC, article 5).
    `slot_days` before the last day of a card, one day at least should be free for training.
    The other figures weigh the wishes, in points: `stranger` a turn at a job of another crew, `journey` a turn at a
    place where the hand was not the day before, `uneven` a turn above an equal share of the employer's turns, `slot`
    a card that ends with no free day for training. `nearest` is how many hands are looked at for each place of a
    large plan.
    """

    row: int = 6
    slot_days: int = 30
    stranger: int = 4
    journey: int = 3
    uneven: int = 1
    slot: int = 6
    nearest: int = 20


@dataclass(frozen=True, slots=True, order=True)
class Turn:
    """A hand fills one place for a holder of a scheme at a job on a day, or the supervisor's with COVER."""

    day: date
    job: str
    scheme: str
    hand: str


@dataclass(frozen=True, slots=True)
class Shortage:
    """Holders missing at a job on a day; under COVER it is the supervisor.

    `without` names the rules of which each, left out alone, lets one of them be filled and empties no other place.
    """

    day: date
    job: str
    scheme: str
    missing: int
    without: tuple[Rule, ...] = ()


def wanted(job: Job) -> tuple[tuple[str, int], ...]:
    """Return the places of one day: holders by scheme, then the supervisor."""
    holders = tuple((want.scheme, want.holders) for want in job.wants)
    return (*holders, (COVER, 1)) if job.cover else holders


def shortages(turns: Iterable[Turn], jobs: Sequence[Job]) -> tuple[Shortage, ...]:
    """Return what a plan leaves open, by day and job: holders wanted and not there, and supervisors."""
    filled = Counter((turn.day, turn.job, turn.scheme) for turn in set(turns))
    found = [
        Shortage(day, job.key, scheme, holders - filled[day, job.key, scheme])
        for job in jobs
        for day in days(job)
        for scheme, holders in wanted(job)
        if holders > filled[day, job.key, scheme]
    ]
    return tuple(sorted(found, key=lambda one: (one.day, one.job, one.scheme)))
