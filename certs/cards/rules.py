"""Dates, standing and numbers of a card. A day is a local day of the scheme's zone; both ends count."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from training.content.schemes import LastDay, Unconfirmed
from training.people import rules as people

PREFIX = "FB"
# No character that handwriting takes for another: no 0 O 1 I L, no S beside 5, no U beside V. 29 is a prime.
ALPHABET = "23456789ABCDEFGHJKMNPQRTVWXYZ"
DRAWN = 7


class Step(StrEnum):
    """What can happen to a card after it is issued."""

    SUSPENDED = "suspended"
    REINSTATED = "reinstated"
    WITHDRAWN = "withdrawn"
    REPLACED = "replaced"


class Ground(StrEnum):
    """Why a card was issued: on a practical, or in place of another card."""

    PRACTICAL = "practical"
    LOST = "lost"
    REDUCED = "reduced"


class Standing(StrEnum):
    """What a card is worth on a day."""

    CURRENT = "current"
    DUE = "due"
    LAPSED = "lapsed"
    SUSPENDED = "suspended"
    WITHDRAWN = "withdrawn"
    REPLACED = "replaced"
    NOT_YET_VALID = "not yet valid"
    WORK_NOT_CONFIRMED = "work not confirmed"
    PROCEDURE_OVERDUE = "procedure overdue"

    @property
    def holds(self) -> bool:
        """Whether the card may be worked under."""
        return self in {Standing.CURRENT, Standing.DUE}


class Route(StrEnum):
    """How a card asked for on a day follows the one before."""

    FIRST = "first"  # no card before, or one that was withdrawn
    EARLY = "early"  # before the renewal window: a new first day
    WINDOW = "window"  # the anniversary is kept
    GRACE = "grace"  # the anniversary is kept, the gap stays a gap
    CLOSED = "closed"  # after the grace: as for a first card


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycle:
    """The days of one card: counted from `anchor` over `months`, of use from `valid_from` to `last_day`."""

    anchor: date
    months: int
    valid_from: date
    last_day: date


@dataclass(frozen=True, slots=True)
class Owed:
    """What a revised procedure asks of the holder by the end of `by_day`, done on `settled_on` or not yet.

    When it is late, it stops the card or makes it due.
    """

    by_day: date
    stops: bool
    settled_on: date | None = None

    def overdue(self, *, on: date) -> bool:
        """Say whether it is late on a day: from the day after, up to the day before it is done."""
        return self.by_day < on and (self.settled_on is None or on < self.settled_on)


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Everything the standing of a card depends on. Measures in the order they were entered."""

    valid_from: date
    last_day: date
    renew_months: int
    grace_months: int
    confirm_by: date
    confirm_months: int
    unconfirmed: Unconfirmed
    confirmed_on: tuple[date, ...] = ()
    measures: tuple[tuple[Step, date], ...] = ()
    owed: tuple[Owed, ...] = ()


@dataclass(frozen=True, slots=True)
class State:
    """A standing with the day that explains it.

    `unconfirmed_since` is a due day of confirmation, `owed_since` one of a changed procedure, that passed while work
    goes on.
    """

    standing: Standing
    day: date
    unconfirmed_since: date | None = None
    owed_since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Days that follow from the facts of a card and are kept beside them, so that long lists need not work them out.

    `confirm_next` is the day by which work has to be confirmed next, after all that is entered; the last two are the
    last day on which it was confirmed and the first on which a measure was taken.
    """

    renew_from: date
    confirm_next: date
    confirmed_on: date | None
    measured_on: date | None


add_months = people.add_months


def last_day_of(anchor: date, months: int, convention: LastDay) -> date:
    """Return the last valid day, counted from the first day and never from an earlier last day."""
    anniversary = add_months(anchor, months)
    return anniversary - timedelta(days=1) if convention is LastDay.EVE else anniversary


def end_of_day(day: date, zone: str) -> datetime:
    """Return the instant (UTC) at which a local day is over: the first of the next day."""
    following = day + timedelta(days=1)
    return datetime(following.year, following.month, following.day, tzinfo=ZoneInfo(zone)).astimezone(UTC)


def start_of_day(day: date, zone: str) -> datetime:
    """Return the instant (UTC) at which a local day begins: the end of the one before."""
    return end_of_day(day - timedelta(days=1), zone)


def local_day(at: datetime, zone: str) -> date:
    """Return the day it is in a zone at an aware moment."""
    return people.local_day(at, ZoneInfo(zone))


def route(last_day: date, renew_months: int, grace_months: int, *, on: date) -> Route:
    """Say how a card decided on a day follows a card with that last day."""
    if on < add_months(last_day, -renew_months):
        return Route.EARLY
    if on <= last_day:
        return Route.WINDOW
    return Route.GRACE if on <= add_months(last_day, grace_months) else Route.CLOSED


def cycle(
    months: int, convention: LastDay, *, before: Cycle | None, by: Route, passed_on: date, decided_on: date
) -> Cycle:
    """Return the days of a new card; `months` is one span of the scheme.

    The span is counted from the day the tests were passed (EN 13133; ISO 9606-1 clause 9), the card is of
    use from the day it is decided: nobody held it before.
    """
    anchor = passed_on
    if before is not None and by in {Route.WINDOW, Route.GRACE}:
        anchor, months = before.anchor, before.months + months
    return Cycle(anchor=anchor, months=months, valid_from=decided_on, last_day=last_day_of(anchor, months, convention))


def confirm_by(facts: Facts, *, on: date) -> date:
    """Return the day by which work has to be confirmed next, as known at the end of a day.

    A confirmation starts its own span. One after the due day does not mend a card that stopped.
    """
    due = facts.confirm_by
    for day in sorted(facts.confirmed_on):
        if day > on or (day > due and facts.unconfirmed is Unconfirmed.STOPS):
            break
        due = max(due, add_months(day, facts.confirm_months))
    return due


def kept(facts: Facts) -> Kept:
    """Return the days that follow from the facts as they are now."""
    return Kept(
        renew_from=add_months(facts.last_day, -facts.renew_months),
        confirm_next=confirm_by(facts, on=date.max),
        confirmed_on=max(facts.confirmed_on, default=None),
        measured_on=min((day for _step, day in facts.measures), default=None),
    )


def standing(facts: Facts, *, on: date) -> State:
    """Say what a card is worth on a day, the gravest reason first."""
    taken = sorted(((day, step) for step, day in facts.measures if day <= on), key=lambda pair: pair[0])
    for step, name in ((Step.WITHDRAWN, Standing.WITHDRAWN), (Step.REPLACED, Standing.REPLACED)):
        days = [day for day, each in taken if each is step]
        if days:
            return State(name, days[0])
    if on < facts.valid_from:
        return State(Standing.NOT_YET_VALID, facts.valid_from)
    if on > facts.last_day:
        return State(Standing.LAPSED, facts.last_day)
    pauses = [pair for pair in taken if pair[1] in {Step.SUSPENDED, Step.REINSTATED}]
    if pauses and pauses[-1][1] is Step.SUSPENDED:
        return State(Standing.SUSPENDED, pauses[-1][0])
    return _in_force(facts, on=on)


def _in_force(facts: Facts, *, on: date) -> State:
    """Say what a card is worth that no measure touches on one of its days."""
    due = confirm_by(facts, on=on)
    late = due if on > due else None
    if late and facts.unconfirmed is Unconfirmed.STOPS:
        return State(Standing.WORK_NOT_CONFIRMED, late)
    overdue = [one for one in facts.owed if one.overdue(on=on)]
    stopped = min((one.by_day for one in overdue if one.stops), default=None)
    if stopped:
        return State(Standing.PROCEDURE_OVERDUE, stopped, late)
    owed = min((one.by_day for one in overdue), default=None)
    window = route(facts.last_day, facts.renew_months, facts.grace_months, on=on) is Route.WINDOW
    return State(Standing.DUE if window or owed else Standing.CURRENT, facts.last_day, late, owed)


def allowed_steps(state: Standing) -> tuple[Step, ...]:
    """Return what may be done to a card of that standing; what is withdrawn or replaced stays so."""
    if state in {Standing.WITHDRAWN, Standing.REPLACED}:
        return ()
    return (Step.REINSTATED if state is Standing.SUSPENDED else Step.SUSPENDED, Step.WITHDRAWN)


def may_stand_in(state: Standing) -> bool:
    """Say whether a card of that standing may be given a new number: it must be in force.

    One that a changed procedure stopped is: the new number is stopped alike. Unconfirmed work is not mended by it.
    """
    return state.holds or state is Standing.PROCEDURE_OVERDUE


def number_of(drawn: Sequence[str]) -> str:
    """Return the card number of seven drawn characters, in two fours after FB; the last one checks the others."""
    text = "".join([*drawn, check_character(drawn)])
    return f"{PREFIX}-{text[:4]}-{text[4:]}"


def check_character(drawn: Iterable[str]) -> str:
    """Return the character that catches any one wrong character and any two swapped.

    Weighted sum modulo a prime with different weights, the principle of ISO/IEC 7064 and of ISBN-10.
    """
    total = sum(place * ALPHABET.index(character) for place, character in enumerate(drawn, start=1))
    return ALPHABET[total % len(ALPHABET)]


def tidy_number(typed: str) -> str:
    """Return a typed number as it is printed, or an empty string when it cannot be one of ours."""
    text = "".join(character for character in typed.upper() if character.isalnum())
    if len(text) == len(PREFIX) + DRAWN + 1:
        text = text.removeprefix(PREFIX)
    if len(text) != DRAWN + 1 or not set(text) <= set(ALPHABET):
        return ""
    number = number_of(text[:DRAWN])
    return number if number.endswith(text[DRAWN]) else ""
