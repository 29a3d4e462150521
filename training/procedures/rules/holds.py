"""The questions at the hold points of a procedure: which are answered, and where the reader goes on.

They are there to make the reading more than a click. They carry no mark.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from training.questions.canonical import digest


@dataclass(frozen=True, slots=True)
class Ask:
    """A question asked at a step; `words` is the fingerprint of the step, so that a changed step asks again."""

    step: str
    key: str
    words: str


@dataclass(frozen=True, slots=True)
class Given:
    """An answer given earlier to a question at a step, on the `turn`-th try."""

    step: str
    key: str
    words: str
    turn: int
    is_right: bool
    at: datetime


@dataclass(frozen=True, slots=True)
class Hold:
    """Where a reader stands with one question: `turn` counts the tries from 1, the next one when it is open."""

    ask: Ask
    turn: int
    last: Given | None

    @property
    def is_open(self) -> bool:
        """Whether it has still to be answered rightly."""
        return self.last is None or not self.last.is_right


def asks(body: Mapping[str, Any]) -> Iterator[Ask]:
    """Yield the questions of a body as loaded, in reading order."""
    for step in body["steps"]:
        words = digest(step)
        yield from (Ask(step["slug"], key, words) for key in step.get("ask", ()))


def holds(body: Mapping[str, Any], given: Iterable[Given], *, in_use: Iterable[str]) -> tuple[Hold, ...]:
    """Say where a reader stands with each question; one that is no longer in use is not asked.

    An answer to the same step of an earlier revision counts as long as the step reads the same.
    """
    last: dict[tuple[str, str, str], Given] = {}
    for one in sorted(given, key=lambda one: one.turn):
        last[one.step, one.key, one.words] = one
    usable = set(in_use)
    return tuple(_hold(ask, last.get((ask.step, ask.key, ask.words))) for ask in asks(body) if ask.key in usable)


def _hold(ask: Ask, last: Given | None) -> Hold:
    if last is None:
        return Hold(ask, 1, None)
    return Hold(ask, last.turn if last.is_right else last.turn + 1, last)


def next_open(holds: Sequence[Hold]) -> Hold | None:
    """Return the first question still open: where the reader goes on."""
    return next((hold for hold in holds if hold.is_open), None)


def seed(person: int, ask: Ask, *, turn: int) -> str:
    """Return the seed of a try: other numbers for each person and each try, the same after a reload."""
    return f"hold:{person}:{ask.step}:{ask.key}:{ask.words[:16]}:{turn}"
