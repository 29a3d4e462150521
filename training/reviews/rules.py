"""Until when a mark may be asked about, who may look at it again, and what may be put right. Plain values only."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction

from training.questions.correcting import Change, What

# From the day of the hand-in, or of the last new mark (house rule).
ASK_DAYS = 30
# Shares an owner may give a part: quarters can be argued about in words, finer ones cannot (house rule).
QUARTERS = tuple(Fraction(number, 4) for number in range(5))


class Wish(StrEnum):
    """What a candidate asks to be looked at."""

    QUESTION = "question"
    CONDUCT = "conduct"


class State(StrEnum):
    """Where an appeal stands."""

    ASKED = "asked"
    LOOKED_AT = "being looked at"
    ANSWERED = "answered"


def state(*, taken: bool, answered: bool) -> State:
    """Return where an appeal stands."""
    if answered:
        return State.ANSWERED
    return State.LOOKED_AT if taken else State.ASKED


def ask_until(days: Sequence[date]) -> date:
    """Return the last local day on which to ask, of the days on which the paper got a mark."""
    return max(days) + timedelta(days=ASK_DAYS)


class Tie(StrEnum):
    """Why a person may not own an appeal: it is looked at by someone who had no part in it (ISO/IEC 17024, 9.8)."""

    CANDIDATE = "candidate"
    NOT_STAFF = "not staff"
    TRAINER = "trainer"
    INVIGILATOR = "invigilator"
    AUTHOR = "author"
    CORRECTOR = "corrector"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Who had which part in a paper and its question, by number of the person."""

    candidate: int
    trainers: frozenset[int]
    invigilator: int | None
    authors: frozenset[int]
    correctors: frozenset[int]


def ties(part: Part, *, person: int, is_staff: bool) -> tuple[Tie, ...]:
    """Return everything that ties a person to an appeal; none means they may own it."""
    reasons = (
        (person == part.candidate, Tie.CANDIDATE),
        (not is_staff, Tie.NOT_STAFF),
        (person in part.trainers, Tie.TRAINER),
        (person == part.invigilator, Tie.INVIGILATOR),
        (person in part.authors, Tie.AUTHOR),
        (person in part.correctors, Tie.CORRECTOR),
    )
    return tuple(tie for holds, tie in reasons if holds)


def shares_from(now: Fraction) -> tuple[Fraction, ...]:
    """Return what a part may be given on appeal: what it has, or more. Nobody loses a mark by asking (house rule)."""
    return (now, *(one for one in QUARTERS if one > now))


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A part of a question and what may be put right about it.

    `lines` as the author wrote them; `right` those that count now, in order where order counts. `absolute` is in
    `unit`, `relative` a share of the key.
    """

    name: str
    prompt: str
    what: What | None
    lines: tuple[str, ...] = ()
    right: tuple[str, ...] = ()
    unit: str = ""
    absolute: Fraction = Fraction(0)
    relative: Fraction = Fraction(0)


class Fault(StrEnum):
    """Why a key cannot be put right as asked."""

    NOTHING = "nothing"
    EVERYTHING = "everything"
    PLACES = "places"
    SAME = "same"
    NARROW = "narrow"


def fault(change: Change, offer: Offer | None) -> Fault | None:
    """Return why a change cannot be proposed; `offer` is the part it is about, none where the question is dropped."""
    if offer is None:
        return None
    if change.what is What.TOLERANCE:
        return _width(change, offer)
    if change.what is What.ORDER and sorted(change.lines) != sorted(offer.lines):
        return Fault.PLACES
    if not change.lines:
        return Fault.NOTHING
    if change.what is What.RIGHT and len(change.lines) == len(offer.lines):
        return Fault.EVERYTHING
    return Fault.SAME if change.lines == offer.right else None


def _width(change: Change, offer: Offer) -> Fault | None:
    if change.absolute <= 0 and change.relative <= 0:
        return Fault.NOTHING
    if (change.absolute, change.relative) == (offer.absolute, offer.relative):
        return Fault.SAME
    # A narrower one would take marks from people who were told how close is close enough.
    return Fault.NARROW if change.absolute < offer.absolute or change.relative < offer.relative else None
