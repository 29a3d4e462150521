"""By when a complaint is answered, who may handle it, what may follow what, and who sees how much. Plain values only.

ISO/IEC 17024:2012, 9.9, asks for acknowledgement, progress and outcome without giving days (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from certs.signoffs.rules import DecisionCase, Objection, decision_objections

# From the day a complaint came to the day its answer is due (common practice, no source).
ANSWER_DAYS = 30
# So long the other side has before a finding may go against them without it (common practice, no source).
SIDE_DAYS = 10


class About(StrEnum):
    """What a complaint is about."""

    WORK = "work"
    ASSESSMENT = "assessment"
    TRAINING = "training"
    TREATMENT = "treatment"


class Channel(StrEnum):
    """How a complaint from outside came."""

    TELEPHONE = "telephone"
    LETTER = "letter"
    MAIL = "mail"
    PERSON = "in person"


class Finding(StrEnum):
    """What came out."""

    UPHELD = "upheld"
    PARTLY = "partly"
    NOT_UPHELD = "not upheld"


class Step(StrEnum):
    """What is done with a complaint once it is received; the values stand in addresses."""

    TAKEN = "taken"
    LAID_DOWN = "laid-down"
    ASKED = "asked"
    SIDE = "side"
    WORD = "word"
    FOUND = "found"
    DONE = "done"
    CLOSED = "closed"
    PUT_RIGHT = "put-right"


class State(StrEnum):
    """Where a complaint stands."""

    WAITS = "waits"
    LOOKED_INTO = "looked into"
    SIDE_ASKED = "side asked"
    FOUND = "found"
    CLOSED = "closed"


class Flaw(StrEnum):
    """Why a complaint cannot be received as it is written."""

    NO_CARD = "no card"
    OWN_CARD = "own card"
    ONESELF = "oneself"
    FUTURE = "future"
    NOT_YET_COME = "not yet come"


class Refusal(StrEnum):
    """Why a step cannot be done as the complaint stands."""

    CLOSED = "closed"
    HANDLED = "handled"
    WAITS = "waits"
    NOT_ASKED = "not asked"
    UNHEARD = "unheard"
    SIDE_OPEN = "side open"
    NO_FINDING = "no finding"


class Tie(StrEnum):
    """Why a person may not handle a complaint."""

    COMPLAINANT = "complainant"
    COMPLAINED_OF = "complained of"
    CLOSED = "closed"
    NOT_ADMINISTRATOR = "not administrator"
    TRAINED = "trained"
    ASSESSED = "assessed"
    EXAMINED = "examined"
    DECIDED = "decided"


class Eyes(StrEnum):
    """As whom somebody sees a complaint."""

    COMPLAINANT = "complainant"
    ASKED = "asked"
    HANDLER = "handler"
    READER = "reader"
    TIED = "tied"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One step that was done: by whom, and for a side that is asked for, of whom and up to which day."""

    step: Step
    by: int
    asked: int | None = None
    until: date | None = None


def days_left(due_on: date, *, on: date) -> int:
    """Return how many days are left to the answer; below zero it is overdue by so many."""
    return (due_on - on).days


def flaws(
    *,
    about: About | None,
    has_card: bool,
    own_card: bool,
    against_oneself: bool,
    happened_on: date | None,
    came_on: date,
    on: date,
) -> tuple[Flaw, ...]:
    """Return why a complaint cannot be received on a day as it is written."""
    found = (
        (about is About.WORK and not has_card, Flaw.NO_CARD),
        (about is About.WORK and own_card, Flaw.OWN_CARD),
        (against_oneself, Flaw.ONESELF),
        (happened_on is not None and happened_on > on, Flaw.FUTURE),
        (came_on > on, Flaw.NOT_YET_COME),
    )
    return tuple(flaw for holds, flaw in found if holds)


def handler(past: Sequence[Entry]) -> int | None:
    """Return who took a complaint up last and has not laid it down."""
    turns = [one for one in past if one.step in {Step.TAKEN, Step.LAID_DOWN}]
    return turns[-1].by if turns and turns[-1].step is Step.TAKEN else None


def sides_open(past: Sequence[Entry]) -> tuple[Entry, ...]:
    """Return where a side was asked for that has not come yet; asked again, the last asking counts."""
    waiting: dict[int | None, Entry] = {}
    for one in past:
        if one.step is Step.ASKED:
            waiting[one.asked] = one
        elif one.step is Step.SIDE:
            waiting.pop(one.by, None)
    return tuple(waiting.values())


def state(past: Sequence[Entry]) -> State:
    """Return where a complaint stands."""
    steps = {one.step for one in past}
    if Step.CLOSED in steps:
        return State.CLOSED
    if handler(past) is None:
        return State.WAITS
    if sides_open(past):
        return State.SIDE_ASKED
    return State.FOUND if Step.FOUND in steps else State.LOOKED_INTO


def next_step(past: Sequence[Entry], *, against: bool) -> Step | None:
    """Return what whoever handles a complaint does next, where it is not somebody else's turn."""
    stands, steps = state(past), {one.step for one in past}
    if stands is State.LOOKED_INTO:
        return Step.ASKED if against and Step.ASKED not in steps else Step.FOUND
    if stands is State.FOUND:
        return Step.CLOSED if Step.DONE in steps else Step.DONE
    return None


def refusal(
    step: Step, past: Sequence[Entry], *, by: int, on: date, finding: Finding | None, against: bool, gone: bool
) -> Refusal | None:
    """Return why this person cannot do that step on a day, as the complaint stands, or None.

    `against` says that somebody on the register is complained of, `gone` that the account of who handles it is closed.
    """
    steps = {one.step for one in past}
    if Step.CLOSED in steps and step is not Step.PUT_RIGHT:
        return Refusal.CLOSED
    if step is Step.TAKEN:
        return Refusal.HANDLED if handler(past) is not None and not gone else None
    if step is Step.SIDE:
        return None if by in {one.asked for one in sides_open(past)} else Refusal.NOT_ASKED
    # A closed one whose handler has left is put right by another.
    if handler(past) != by and not (gone and Step.CLOSED in steps):
        return Refusal.WAITS if handler(past) is None else Refusal.HANDLED
    if step is Step.FOUND and finding is not Finding.NOT_UPHELD:
        return _unheard(past, on=on) if against or Step.ASKED in steps else None
    return Refusal.NO_FINDING if step is Step.CLOSED and Step.FOUND not in steps else None


def _unheard(past: Sequence[Entry], *, on: date) -> Refusal | None:
    """Nobody is found against before they could say their side."""
    if all(one.step is not Step.ASKED for one in past):
        return Refusal.UNHEARD
    return Refusal.SIDE_OPEN if any(one.until and on <= one.until for one in sides_open(past)) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Which part a person had in what is complained about.

    `trained_to`, `assessed`, `examined` and `decided` are about the person whose card or assessment it is, and
    `acted_on` is the day of the practical under it, by which it is told whether the training belongs to it.
    """

    is_complainant: bool
    is_complained_of: bool
    is_active: bool
    is_administrator: bool
    trained_to: date | None
    assessed: bool
    examined: bool
    decided: bool
    acted_on: date


_BY_OBJECTION = {
    Objection.ONESELF: Tie.COMPLAINED_OF,
    Objection.CLOSED: Tie.CLOSED,
    Objection.NOT_DECIDER: Tie.NOT_ADMINISTRATOR,
    Objection.ASSESSED: Tie.ASSESSED,
    Objection.TRAINED: Tie.TRAINED,
}


def ties(part: Part) -> tuple[Tie, ...]:
    """Return everything that keeps a person from handling a complaint; none means they may.

    Whoever could not have decided about the card cannot judge a complaint about it either: that rule is asked, and
    what it does not know is added.
    """
    decision = DecisionCase(
        is_oneself=part.is_complained_of,
        is_active=part.is_active,
        candidate_active=True,
        may_decide=part.is_administrator,
        trained_to=part.trained_to,
        assessed=part.assessed,
        passed=True,
        separate=True,
        decided=False,
        replaced=False,
    )
    asked = [_BY_OBJECTION[one] for one in decision_objections(decision, on=part.acted_on)]
    more = (
        (part.is_complainant, Tie.COMPLAINANT),
        (part.examined, Tie.EXAMINED),
        (part.decided, Tie.DECIDED),
    )
    return (*asked, *(tie for holds, tie in more if holds))


def eyes(*, is_complainant: bool, was_asked: bool, is_handler: bool, found: Sequence[Tie]) -> Eyes | None:
    """Return as whom a person sees a complaint, None where it is nothing to them; `found` are their ties to it.

    Who is complained of sees it from when they are asked for their side, whatever else they may see.
    """
    if is_complainant:
        return Eyes.COMPLAINANT
    if was_asked:
        return Eyes.ASKED
    if is_handler:
        return Eyes.HANDLER
    if {Tie.NOT_ADMINISTRATOR, Tie.COMPLAINED_OF, Tie.CLOSED} & set(found):
        return None
    return Eyes.TIED if found else Eyes.READER


_SHOWN = {
    Eyes.COMPLAINANT: frozenset({Step.TAKEN, Step.WORD, Step.CLOSED}),
    Eyes.ASKED: frozenset({Step.ASKED, Step.SIDE}),
    Eyes.HANDLER: frozenset(Step),
    Eyes.READER: frozenset(Step),
    Eyes.TIED: frozenset[Step](),
}


def is_shown(step: Step, *, to: Eyes) -> bool:
    """Say whether a step is shown to who sees a complaint so; of one put right ask for the step it puts right.

    Of asked sides each person is shown their own only.
    """
    return step in _SHOWN[to]


def names(text: str, name: str) -> bool:
    """Say whether a text names a person in full, however it is spaced."""
    return " ".join(name.casefold().split()) in " ".join(text.casefold().split())
