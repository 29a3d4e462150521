"""What a person does next on the way to a card, and what a supervisor looks at first. Plain values only."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from certs.cards.rules import Standing

# How long ahead work is confirmed without haste (common practice, no source).
SOON = timedelta(days=30)
AHEAD_DAYS = (30, 60, 90)


class Practical(StrEnum):
    """Where the practical stands that goes with the last passed paper."""

    NONE = "none"
    FAILED = "failed"
    WAITS = "waits for the decision"
    REFUSED = "refused"


class Step(StrEnum):
    """What a person does next under one scheme."""

    GO_ON = "go on with the open paper"
    ASK = "ask why the card is suspended"
    START = "wait for the first day"
    CONFIRM = "have work confirmed"
    READ_CHANGED = "read a changed procedure"
    ANSWER = "answer the questions of a changed procedure"
    READ = "read"
    WAIT = "wait to sit again"
    SIT = "sit the paper"
    PRACTICAL = "show the practical"
    PRACTICAL_AGAIN = "show the practical again"
    DECISION = "wait for the decision"
    NOTHING = "nothing"


# What a person can do by themself on this site, the most pressing first.
PRESSING = (Step.GO_ON, Step.READ_CHANGED, Step.ANSWER, Step.READ, Step.SIT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """Where a person stands under one scheme on a day; without a standing there is no card, nor its days.

    `unread` counts modules whose revision in force is unread. `paper_passed` holds for a pass that has not
    earned a card yet. `free_on` is the first day of the next sitting, where that lies ahead. `owed_by` is the last
    day for what a changed procedure asks of the card's holder, which begins with reading while `owed_unread`.
    """

    standing: Standing | None = None
    valid_from: date | None = None
    last_day: date | None = None
    renew_from: date | None = None
    confirmed_to: date | None = None
    owed_by: date | None = None
    owed_unread: bool = False
    unread: int = 0
    sitting_open: bool = False
    free_on: date | None = None
    paper_passed: bool = False
    practical: Practical = Practical.NONE


@dataclass(frozen=True, slots=True)
class Next:
    """A step with the day that belongs to it: by then, from then, or none."""

    step: Step
    day: date | None = None


def next_step(progress: Progress, *, on: date) -> Next:
    """Say what comes next on a day. The clock of an open paper runs, so that goes first."""
    standing = progress.standing
    if progress.sitting_open:
        return Next(Step.GO_ON)
    if standing is Standing.SUSPENDED:
        return Next(Step.ASK)
    if standing is Standing.NOT_YET_VALID:
        return Next(Step.START, progress.valid_from)
    keeps = _keeps_card(progress, on=on)
    if keeps is not None:
        return keeps
    begun = progress.paper_passed or progress.free_on is not None
    if standing is Standing.CURRENT and not progress.unread and not begun:
        return Next(Step.NOTHING, progress.renew_from)
    return _towards_card(progress)


def _keeps_card(progress: Progress, *, on: date) -> Next | None:
    """Return what a card in force asks first, if anything: work confirmed or a changed procedure."""
    owed_by, confirm_by = progress.owed_by, None
    if confirm_soon(progress.standing, confirmed_to=progress.confirmed_to, last_day=progress.last_day, on=on):
        confirm_by = progress.confirmed_to
    if owed_by is not None and (confirm_by is None or owed_by <= confirm_by):
        return Next(Step.READ_CHANGED if progress.owed_unread else Step.ANSWER, owed_by)
    return Next(Step.CONFIRM, confirm_by) if confirm_by is not None else None


def _towards_card(progress: Progress) -> Next:
    """Return the step on the way of a first card, which is also the way of renewal."""
    # A signed practical is not undone by a procedure that was revised after it.
    if progress.practical is Practical.WAITS:
        return Next(Step.DECISION)
    if progress.unread:
        return Next(Step.READ)
    if not progress.paper_passed:
        return Next(Step.WAIT, progress.free_on) if progress.free_on else Next(Step.SIT)
    return Next(Step.PRACTICAL if progress.practical is Practical.NONE else Step.PRACTICAL_AGAIN)


def confirm_soon(standing: Standing | None, *, confirmed_to: date | None, last_day: date | None, on: date) -> bool:
    """Say whether work has to be confirmed now: due within SOON, or overdue on a card that merely warns.

    A card that ends no later than the due day needs no more confirmation.
    """
    if standing is None or not standing.holds or confirmed_to is None or last_day is None:
        return False
    return confirmed_to < last_day and confirmed_to <= on + SOON


def most_pressing(steps: Sequence[Step]) -> int | None:
    """Return the place of the step to press first, the first of equals, or None where none can be done here."""
    places = [place for place, step in enumerate(steps) if step in PRESSING]
    return min(places, key=lambda place: PRESSING.index(steps[place]), default=None)


def runs_out_within(last_day: date, *, on: date) -> int | None:
    """Return the shortest of AHEAD_DAYS within which a card runs out, or None when later or already over."""
    left = (last_day - on).days
    return next((days for days in AHEAD_DAYS if 0 <= left <= days), None)
