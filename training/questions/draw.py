"""A question and a seed become an item: values on a grid, the key, wrong answers told apart from it.

A draw that cannot be used is rejected and drawn again, and the reasons are counted.
"""

from collections import Counter
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from training.questions.book import Book, calculations
from training.questions.choices import choice_part
from training.questions.item import Given, Item, Part
from training.questions.numbers import number_part
from training.questions.rounding import as_digits, at_place, last_digits
from training.questions.specs import GivenSpec, PartSpec, QuestionSpec
from training.questions.stream import Draw
from training.questions.units import unit
from training.questions.values import REASONS, Rejected, Values, run, slots

MOST_REJECTED = 200


class AuthoringError(ValueError):
    """The question cannot be drawn; the message says why, with counts."""


class Drawn(NamedTuple):
    """An item and how many sets of values were rejected before it, by reason."""

    item: Item
    rejected: Counter[str]


def draw(spec: QuestionSpec, seed: str | int, *, book: Book | None = None) -> Item:
    """Return the item of this question and seed. Raises AuthoringError when more than 200 draws are unusable."""
    return _drawn(spec, seed, book or calculations(), [])


def draw_counted(spec: QuestionSpec, seed: str | int, *, book: Book | None = None) -> Drawn:
    """Return the item with the count of rejected draws. Raises AuthoringError."""
    rejected: list[str] = []
    return Drawn(_drawn(spec, seed, book or calculations(), rejected), Counter(rejected))


def _drawn(spec: QuestionSpec, seed: str | int, book: Book, rejected: list[str]) -> Item:
    stream = Draw(f"{spec.key} v{spec.version}", seed)
    while len(rejected) <= MOST_REJECTED:
        try:
            return _item(spec, str(seed), stream, book)
        except Rejected as error:
            rejected.append(error.reason)
    counts = "; ".join(f"{count} times {REASONS[reason]}" for reason, count in Counter(rejected).most_common())
    raise AuthoringError(f"no usable values in {len(rejected)} draws: {counts}. Change the ranges or the wrong answers")


def _item(spec: QuestionSpec, seed: str, stream: Draw, book: Book) -> Item:
    values = Values()
    givens = tuple(_given(given, values, stream, book) for given in spec.givens)
    prompt = values.fill(spec.prompt)
    parts = tuple(_part(part, values, stream, book) for part in spec.parts)
    return Item(
        question=spec.key,
        version=spec.version,
        kind=str(spec.kind),
        topic=spec.topic,
        level=str(spec.level),
        seed=seed,
        prompt=prompt,
        givens=givens,
        parts=parts,
    )


def _given(spec: GivenSpec, values: Values, stream: Draw, book: Book) -> Given:
    if spec.computation:
        taken = slots(book, spec.computation, spec.inputs, values.exact)
        value: Fraction | Decimal = run(book, spec.computation, taken, spec.unit)
    elif spec.grid is not None:
        start, stop, step = spec.grid
        value = start + step * stream.below(int((stop - start) // step) + 1)
    else:
        value = stream.pick(spec.choice) if spec.constant is None else spec.constant
    decimals = spec.decimals
    if decimals is None:
        decimals = max(-int(value.as_tuple().exponent), 0) if isinstance(value, Decimal) else 0
    used, digits = _as_printed(value, decimals)
    values.add(spec.name, used, spec.unit, digits)
    return Given(name=spec.name, symbol=spec.symbol, value=digits, unit=unit(spec.unit).symbol, says=spec.says)


@lru_cache(maxsize=4096)  # the same few values of a grid come again and again
def _as_printed(value: Fraction | Decimal, decimals: int) -> tuple[Fraction, str]:
    """What is printed is what is used: a person must be able to reach the key from the sheet."""
    count = last_digits(value, decimals)
    return at_place(count, decimals), as_digits(count, decimals)


def _part(spec: PartSpec, values: Values, stream: Draw, book: Book) -> Part:
    if spec.answer is None:
        return choice_part(spec, values=values, stream=stream)
    return number_part(spec, spec.answer, values=values, book=book)
