"""Which notice about a card is due on a day. Plain values only."""

from collections.abc import Sequence
from datetime import date, timedelta
from enum import StrEnum

from certs.cards.rules import Standing, Step

# Days ahead at which people are told of the last day of a card and of a due day of work (common practice, no source).
LAST_DAY_AHEAD: Sequence[int] = (90, 60, 30, 7)
CONFIRM_AHEAD: Sequence[int] = (30, 7)
# An act older than this is on the record for all to read; told so late by mail it would only confuse.
STALE = timedelta(days=14)


class Kind(StrEnum):
    """What a notice is about."""

    LAST_DAY = "last day"
    CONFIRM = "work to be confirmed"
    STOPPED = "work not confirmed"
    ISSUED = "issued"
    MEASURE = "measure"


# These are told to the supervisors as well: they have to do something, or may no longer send somebody out.
FOR_SUPERVISORS = frozenset({Kind.LAST_DAY, Kind.CONFIRM, Kind.STOPPED})
# So are these acts; that a card was replaced is told by the one in its place.
SENDS_OR_STOPS = frozenset({Step.SUSPENDED, Step.REINSTATED, Step.WITHDRAWN})


def ahead(day: date, steps: Sequence[int], *, on: date) -> int | None:
    """Return the step of days ahead that has come for a day, or None: too early, or over.

    The latest that has come and no other: after an outage people are told once, and not about each step missed.
    """
    left = (day - on).days
    return min((step for step in steps if 0 <= left <= step), default=None)


def coming(
    standing: Standing, *, day: date, last_day: date, confirmed_to: date, on: date
) -> tuple[tuple[Kind, date, int], ...]:
    """Return what is to be told about how a card stands: kind, the day it is about, days ahead.

    `day` explains the standing. Nothing is to be confirmed after the last day.
    """
    if standing is Standing.WORK_NOT_CONFIRMED and on - day <= STALE:
        return ((Kind.STOPPED, day, 0),)
    if not standing.holds:
        return ()
    asked = [(Kind.LAST_DAY, last_day, LAST_DAY_AHEAD)]
    if confirmed_to < last_day:
        asked.append((Kind.CONFIRM, confirmed_to, CONFIRM_AHEAD))
    steps = [(kind, due, ahead(due, steps, on=on)) for kind, due, steps in asked]
    return tuple((kind, due, step) for kind, due, step in steps if step is not None)
