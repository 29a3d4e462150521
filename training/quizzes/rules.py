"""When a person may sit a paper, how long it runs, what an answer may look like, what a marked paper comes to.

Plain values only. A share is an exact `Fraction` from 0 to 1.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from math import floor
from typing import Any

from training.questions.rounding import printed

# A hand-in pressed in time may reach the server late; only the server's clock is asked.
GRACE = timedelta(seconds=30)
LONGEST = 200
# After so many misses in a row more tries teach nothing: the trainer is asked first (house rule).
MANY_MISSES = 4


class Origin(StrEnum):
    """Where a question is written, and so who may revise or retire it."""

    FILES = "files"
    SITE = "site"


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


def tidy(parts: Sequence[Mapping[str, Any]], given: object) -> dict[str, Any]:
    """Return what was given for the parts of one question, in the shapes that marking knows, and nothing else.

    `parts` is `shown["parts"]`. A number or a single choice is text; several choices are the ids in written order;
    an ordering is the ids in the order given, or, while unfinished, the places typed by id.
    A part that was not sent, or whose value has another shape, is left out.
    """
    if not isinstance(given, Mapping):
        return {}
    found = {part["name"]: _tidy(part, given.get(part["name"])) for part in parts}
    return {name: value for name, value in found.items() if value is not None}


def _tidy(part: Mapping[str, Any], value: object) -> Any:
    ids = [option["id"] for option in part.get("options", ())]
    if part["answer"] == "number":
        return plain(value) if isinstance(value, str) else None
    if part["answer"] == "one":
        return value if value in ["", *ids] else None
    if part["answer"] == "several":
        return [one for one in ids if one in value] if isinstance(value, list) else None
    if isinstance(value, Mapping):
        return _order(ids, value)
    whole = isinstance(value, list) and all(isinstance(one, str) for one in value) and sorted(value) == sorted(ids)
    return value if whole else None


def _order(ids: Sequence[str], places: Mapping[Any, object]) -> list[str] | dict[str, str]:
    """Turn places by id into ids in order once each place is taken exactly once."""
    known = [str(place) for place in range(1, len(ids) + 1)]
    chosen = {one: str(places[one]) for one in ids if places.get(one) in known}
    if sorted(chosen.values()) == sorted(known):
        return sorted(ids, key=lambda one: int(chosen[one]))
    return chosen


def plain(text: str) -> str:
    """Return text that every database keeps: no NUL, no half of a character, no line breaks, at most LONGEST long."""
    whole = text.encode("utf-8", "replace").decode("utf-8").replace("\x00", "")
    return " ".join(whole.split())[:LONGEST]


def places(value: object) -> dict[str, str]:
    """Return the place of each id as text, from an ordering kept whole or unfinished."""
    if isinstance(value, list):
        return {one: str(place) for place, one in enumerate(value, start=1)}
    return dict(value) if isinstance(value, Mapping) else {}


def blank(value: object) -> bool:
    """Say whether nothing was given for a part."""
    return not value


def responses(given: Mapping[str, Any]) -> dict[str, str | list[str]]:
    """Return what is marked, by part; an ordering that was never finished counts as not answered."""
    return {part: value for part, value in given.items() if not isinstance(value, Mapping)}


def unfinished(given: Mapping[str, Any]) -> list[str]:
    """Return the parts whose ordering was begun and not finished."""
    return [part for part, value in given.items() if isinstance(value, Mapping) and value]


@dataclass(frozen=True, slots=True)
class Problem:
    """An answer that cannot be read: its place and part, and a sentence that says what to do."""

    position: int
    part: str
    sentence: str


def givens(shown: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Return the values a question gives as (what it is, value with unit), those that say what they are."""
    return tuple(
        (f"{one['says']} ({one['symbol']})" if one["symbol"] else one["says"], printed(one["value"], one["unit"]))
        for one in shown["givens"]
        if one["says"]
    )


def right_answer(shown: Mapping[str, Any], key: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the right answer of a part in words: a number with its unit, or the texts of options, in order."""
    if shown["answer"] == "number":
        return (printed(key["shown"], shown["unit"]),)
    texts = {option["id"]: option["text"] for option in shown["options"]}
    return tuple(texts[one] for one in key["order"] or key["right"])


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
