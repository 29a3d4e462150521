"""When what a revision asks for is done. Plain values only."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class Act(StrEnum):
    """What a person did about a revision."""

    READ = "read"
    ANSWERED = "answered"


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """What a revision asks of whoever held a card that names its module when it was loaded.

    `landed_on` is the day of loading in UTC, `due_on` the last day, `asks` says that there are questions, `stops` that
    a card stops when it is late. Nobody owes anything once the module is out of use, at `ended_at`.
    """

    slug: str
    title: str
    number: int
    landed_on: date
    due_on: date
    asks: bool
    stops: bool
    ended_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """An act of one person about a revision, by the slug of its module and its number."""

    act: Act
    slug: str
    number: int
    at: datetime


@dataclass(frozen=True, slots=True)
class Progress:
    """How far one person is with a duty: the moment of each act, and the one from which nothing is owed."""

    duty: Duty
    read_at: datetime | None
    answered_at: datetime | None
    settled_at: datetime | None


def progress(duty: Duty, done: Iterable[Done]) -> Progress:
    """Say how far a person is: a later revision read counts, the questions are those of this very revision."""
    own = [one for one in done if one.slug == duty.slug]
    read = min((one.at for one in own if one.act is Act.READ and one.number >= duty.number), default=None)
    answered = min((one.at for one in own if one.act is Act.ANSWERED and one.number == duty.number), default=None)
    needed = [read, answered] if duty.asks else [read]
    acts = [moment for moment in needed if moment is not None]
    ends = [max(acts)] if len(acts) == len(needed) else []
    if duty.ended_at is not None:
        ends.append(duty.ended_at)
    return Progress(duty, read, answered, min(ends, default=None))
