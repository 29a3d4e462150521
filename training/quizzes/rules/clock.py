"""How long a sitting runs. Only the server's clock is asked."""

from datetime import datetime, timedelta
from fractions import Fraction
from math import ceil

# A hand-in pressed in time may reach the server late.
GRACE = timedelta(seconds=30)
# An identity that was confirmed is good for so long; whoever starts later is looked at again.
ADMITTED_FOR = timedelta(minutes=30)


def minutes(base: int, *, factor: Fraction = Fraction(1), sat: int = 1, of: int = 1) -> int:
    """Return the minutes of a sitting: the paper's own, times a person's factor, rounded up to the minute.

    Of a paper of `of` questions only `sat` may be sat again, which take their share of the time.
    """
    return ceil(base * factor * sat / of)


def due(*, due_at: datetime, paused_at: datetime | None, left: timedelta, at: datetime) -> datetime:
    """Return when the time is over as it looks now: a break stops the clock, for as long as break time is left."""
    return due_at if paused_at is None else due_at + used(paused_at=paused_at, left=left, at=at)


def used(*, paused_at: datetime, left: timedelta, at: datetime) -> timedelta:
    """Return the break time a break has used, whatever the clock says: never below nothing, never more than left."""
    return min(max(at - paused_at, timedelta(0)), left)


def overdue(*, due_at: datetime, at: datetime) -> bool:
    """Say whether the time and the grace after it are over."""
    return at > due_at + GRACE


def ended_at(*, opened_at: datetime, due_at: datetime, at: datetime) -> datetime:
    """Return the moment a hand-in counts for: never after the time was up, never before the paper was opened.

    A server clock set back or far ahead cannot move it out of the sitting.
    """
    return max(opened_at, min(at, due_at))


def admitted(admitted_at: datetime | None, *, at: datetime) -> bool:
    """Say whether a confirmed identity still holds."""
    return admitted_at is not None and admitted_at <= at <= admitted_at + ADMITTED_FOR
