"""When a person may sit a paper, how long it runs, what a marked paper comes to.

Plain values only. A share is an exact `Fraction` from 0 to 1.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from math import floor

# A hand-in pressed in time may reach the server late; only the server's clock is asked.
GRACE = timedelta(seconds=30)
# After so many misses in a row more tries teach nothing: the trainer is asked first (house rule).
MANY_MISSES = 4


@dataclass(frozen=True, slots=True)
class Ended:
    """An earlier sitting of the same paper: the local day it was handed in, and whether it was passed."""

    on: date
    passed: bool


def misses(earlier: Sequence[Ended]) -> int:
    """Count the sittings missed since the last pass; `earlier` runs from the oldest to the newest."""
    count = 0
    for sitting in earlier:
        count = 0 if sitting.passed else count + 1
    return count


def free_on(earlier: Sequence[Ended], waits_days: Sequence[int]) -> date | None:
    """Return the first local day of the next sitting, or None where there is nothing to wait for.

    The n-th miss in a row costs the n-th wait, in days; later ones cost the last.
    """
    count = misses(earlier)
    if not count or not waits_days:
        return None
    return earlier[-1].on + timedelta(days=waits_days[min(count, len(waits_days)) - 1])


def overdue(*, due_at: datetime, at: datetime) -> bool:
    """Say whether the time and the grace after it are over."""
    return at > due_at + GRACE


def ended_at(*, opened_at: datetime, due_at: datetime, at: datetime) -> datetime:
    """Return the moment a hand-in counts for: never after the time was up, never before the paper was opened.

    A server clock set back or far ahead cannot move it out of the sitting.
    """
    return max(opened_at, min(at, due_at))


@dataclass(frozen=True, slots=True)
class Marked:
    """A marked question: its place, topic, whether it must be right, and the share of each part."""

    position: int
    topic: str
    safety: bool
    shares: tuple[Fraction, ...]

    @property
    def earned(self) -> Fraction:
        """Return the share of the question's one mark; its parts weigh the same."""
        return sum(self.shares, Fraction(0)) / len(self.shares)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a paper came to, and which rule failed."""

    earned: Fraction
    out_of: int
    needed: Fraction
    unsafe: tuple[int, ...]

    @property
    def short(self) -> bool:
        """Say whether too few marks were earned."""
        return self.earned < self.needed

    @property
    def passed(self) -> bool:
        """Say whether the paper is passed: marks enough, and every safety question fully right."""
        return not self.short and not self.unsafe


def outcome(marked: Sequence[Marked], *, passing: Fraction) -> Outcome:
    """Return what the questions come to; one mark a question, `passing` is the share needed."""
    return Outcome(
        earned=sum((question.earned for question in marked), Fraction(0)),
        out_of=len(marked),
        needed=passing * len(marked),
        unsafe=tuple(question.position for question in marked if question.safety and question.earned < 1),
    )


def profile(marked: Sequence[Marked]) -> dict[str, tuple[Fraction, int]]:
    """Return marks earned and marks to be had by topic, in the order the topics come."""
    topics: dict[str, tuple[Fraction, int]] = {}
    for question in marked:
        earned, out_of = topics.get(question.topic, (Fraction(0), 0))
        topics[question.topic] = (earned + question.earned, out_of + 1)
    return topics


def figure(marks: Fraction, *, decimals: int = 2) -> str:
    """Return marks as digits, cut and never rounded up: 15.999 of 16 needed must not read as 16."""
    scale = 10**decimals
    whole, rest = divmod(floor(marks * scale), scale)
    return f"{whole}.{rest:0{decimals}d}".rstrip("0").rstrip(".") if rest else str(whole)
