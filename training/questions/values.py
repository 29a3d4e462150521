"""Values on the way to an item: exact, with their unit and the digits printed; and computing with them."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from training.questions.book import Book
from training.questions.rounding import printed, significant
from training.questions.specs import Inputs
from training.questions.units import as_float, convert, unit

PLACE = re.compile(r"\{([^{}]*)\}")
PART = "part:"

REASONS = {
    "undefined": "a value lies outside the range of its computation",
    "fraction": "a value that must be whole is not",
    "zero": "the answer rounds to 0",
    "narrow": "the tolerance is narrower than half the last digit shown",
    "wide": "the tolerance is as wide as the answer",
    "equal": "two answers print the same",
    "tolerance": "a wrong answer lies inside the tolerance",
    "close": "two options lie closer than 5 per cent of the answer",
    "sign": "an option gives itself away by its sign",
    "chain": "the answer is not reached from the earlier answer as shown",
}


class Rejected(Exception):
    """This set of values cannot be used; ``reason`` is a key of REASONS."""

    def __init__(self, reason: str) -> None:
        """Keep the reason."""
        self.reason = reason
        super().__init__(REASONS[reason])


@dataclass(slots=True)
class Values:
    """What has been drawn so far: exact values and their units by name, and how each is printed."""

    exact: dict[str, tuple[Fraction, str]] = field(default_factory=dict)
    digits: dict[str, str] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)

    def add(self, name: str, value: Fraction, spelling: str, digits: str) -> None:
        """Record a value that later computations and texts may use."""
        self.exact[name] = (value, spelling)
        self.digits[name] = digits
        self.texts[name] = printed(digits, unit(spelling).symbol)
        self.texts[f"{name}.number"] = printed(digits, "")

    def with_answer(self, value: Fraction, spelling: str, digits: str) -> "Values":
        """Return a copy that knows the answer too, for the working of one part."""
        values = Values(dict(self.exact), dict(self.digits), dict(self.texts))
        values.add("answer", value, spelling, digits)
        return values

    def fill(self, text: str) -> str:
        """Put printed values in the places ``{name}`` (with unit) and ``{name.number}`` (without)."""
        pieces = _pieces(text)
        if len(pieces) == 1:
            return text
        return "".join([self.texts[piece] if place % 2 else piece for place, piece in enumerate(pieces)])


@lru_cache(maxsize=4096)
def _pieces(text: str) -> tuple[str, ...]:
    """Return plain text and names of places by turns."""
    return tuple(PLACE.split(text))


def slots(book: Book, name: str, inputs: Inputs, known: Mapping[str, tuple[Fraction, str]]) -> dict[str, float]:
    """Return a computation's inputs in its own units. Raises Rejected when a whole number is wanted and not given."""
    taken: dict[str, float] = {}
    for slot in book.entries[name].inputs:
        value, spelling = known[inputs.get(slot.name, slot.name)]
        if not slot.whole:
            taken[slot.name] = as_float(value, spelling, slot.unit)
            continue
        value = convert(value, spelling, slot.unit)
        if value.denominator != 1:
            raise Rejected("fraction")
        taken[slot.name] = int(value)
    return taken


def run(book: Book, name: str, taken: Mapping[str, float], spelling: str) -> Fraction:
    """Compute, and return the result in the wanted unit. Raises Rejected when there is no finite result."""
    try:
        result = significant(book.compute(name, taken))
    except (ValueError, ArithmeticError) as error:
        raise Rejected("undefined") from error
    return convert(result, book.entries[name].output.unit, spelling)
