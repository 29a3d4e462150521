"""Who writes a question, what an answer to one may look like, and what is right in words. Plain values only."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Any

from training.questions.rounding import printed

LONGEST = 200


class Origin(StrEnum):
    """Where a question is written, and so who may revise or retire it."""

    FILES = "files"
    SITE = "site"


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
    """An answer that cannot be read: its place and part, a sentence that says what to do, and a number as typed."""

    position: int
    part: str
    sentence: str
    typed: str = ""


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


def all_right(shares: Sequence[Fraction]) -> bool:
    """Say whether a question is answered fully right; where no mark is kept, half an answer is asked again."""
    return all(share == 1 for share in shares)


def has_words(text: str, words: str) -> bool:
    """Say whether every word, or a part of one, stands in a text, in capitals or not."""
    return all(one in text.casefold() for one in words.casefold().split())
