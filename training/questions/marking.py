"""Responses against the key, in exact fractions: no float decides a mark.

In binary floats 0.4 lies outside 0.3 +- 0.1; here it lies inside, as it does on paper.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from training.questions.book import Book, calculations
from training.questions.carrying import Earlier, carried
from training.questions.choosing import mark_choice, read_choice
from training.questions.item import Item, Part
from training.questions.marks import PartMark
from training.questions.reading import Reading, Unreadable, figures, read
from training.questions.rounding import half_step, printed
from training.questions.specs import Ask
from training.questions.units import convert, dimension, fits, unit

Response = str | Sequence[str]
RIGHT = "Right."
ALL, NOTHING = Fraction(1), Fraction(0)
FURTHEST_POWER = 12


def mark(item: Item, responses: Mapping[str, Response], *, book: Book | None = None) -> tuple[PartMark, ...]:
    """Mark every part of an item; an absent response is blank. Raises Unreadable for the first that cannot be read.

    ``book`` is asked only to carry a wrong earlier answer forward.
    """
    understood = [_understood(part, responses) for part in item.parts]
    earlier: dict[str, Earlier] = {}
    return tuple(
        mark_choice(part, answer) if isinstance(answer, tuple) else _number(part, answer, earlier, book)
        for part, answer in zip(item.parts, understood, strict=True)
    )


def unreadable(item: Item, responses: Mapping[str, Response]) -> Iterator[Unreadable]:
    """Yield every response that has to be asked for again, in the order of the parts."""
    for part in item.parts:
        try:
            _understood(part, responses)
        except Unreadable as problem:
            yield problem


def _understood(part: Part, responses: Mapping[str, Response]) -> Reading | tuple[str, ...] | None:
    """Return what a response says: a number, ids, or nothing. Raises Unreadable."""
    response = responses.get(part.name) or ""
    try:
        if part.ask is not Ask.NUMBER:
            return read_choice(part, response)
        if not isinstance(response, str):
            raise Unreadable("Write one number and its unit.")
        tell = bool(part.hint) or not _unit_is_missed(part)
        return read(response, like=part.unit, tell=tell) if response.strip() else None
    except Unreadable as error:
        raise Unreadable(error.sentence, part.name) from None


def _number(part: Part, reading: Reading | None, earlier: dict[str, Earlier], book: Book | None) -> PartMark:
    if reading is None:
        earlier[part.name] = Earlier(part, None, right=False)
        return PartMark(name=part.name, share=NOTHING, flags=("blank",), says="No answer was given.")
    missed = reading.unit is None and _unit_is_missed(part)
    spelling = reading.unit or (part.unit if part.hint or not missed else "1")
    flags = ("no-unit",) if missed else ()
    text = reading.printed(spelling)
    value = reading.value if spelling == part.unit else None
    if value is None and fits(spelling, part.unit):
        value = convert(reading.value, spelling, part.unit)
    right = value is not None and within(part, value, part.value)
    earlier[part.name] = Earlier(part, value, right=right)
    if value is None and missed:
        says = f"The unit is missing: the answer is {dimension(part.unit)}."
        return PartMark(name=part.name, share=NOTHING, flags=flags, says=says, read=text)
    if value is None:
        says = f"That is {dimension(spelling)}; the answer is {dimension(part.unit)}."
        return PartMark(name=part.name, share=NOTHING, flags=("wrong-dimension",), says=says, read=text)
    if right:
        flags = (*flags, *_figures(part, reading))
        return PartMark(name=part.name, share=ALL, flags=flags, says=RIGHT, read=text)
    found = PartMark(name=part.name, share=NOTHING, flags=flags, read=text)
    return _wrong(part, value, found, earlier, book)


def within(part: Part, value: Fraction, key: Fraction) -> bool:
    """Say whether a value is right against a key, both in the part's unit; the edge of the tolerance is inside."""
    if part.exact:
        return value == key
    (top, below), (middle, under) = value.as_integer_ratio(), key.as_integer_ratio()
    slack, per = part.tolerance(key).as_integer_ratio()
    return abs(top * under - middle * below) * per <= slack * below * under


def _unit_is_missed(part: Part) -> bool:
    asked = unit(part.unit)
    return bool(asked.dimensions) or asked.factor != 1


def _figures(part: Part, reading: Reading) -> tuple[str, ...]:
    """Flag an answer that is right but given to more or fewer figures than asked; it costs nothing."""
    whole, _, decimals = part.shown.lstrip("-").partition(".")
    least, most = figures(whole, decimals)
    return () if part.exact or (reading.figures[0] <= most and reading.figures[1] >= least) else ("figures",)


def _wrong(part: Part, value: Fraction, found: PartMark, earlier: Mapping[str, Earlier], book: Book | None) -> PartMark:
    if part.carry:
        key = carried(part, earlier, book or calculations())
        if key is not None and abs(key) > part.tolerance(key) and within(part, value, key):
            says = "This follows rightly from your earlier answer, which was wrong."
            return replace(found, share=part.carry, flags=(*found.flags, "carried-forward"), says=says)
    flag, slip = _slip(part, value)
    misconception, words = _misconception(part, value)
    right = f"The answer is {printed(part.shown, unit(part.unit).symbol)}."
    flags = (*found.flags, flag) if flag else found.flags
    return replace(found, flags=flags, misconception=misconception, says=f"{words or slip} {right}".strip())


def _slip(part: Part, value: Fraction) -> tuple[str, str]:
    """Name a slip of sign or of a power of ten. It earns nothing: a factor of a thousand can hurt someone."""
    if within(part, -value, part.value):
        return "sign", "The figures are right and the sign is not."
    if not value:
        return "", ""
    slack = NOTHING if part.exact else part.tolerance(part.value)
    ends = sorted((part.value + way * slack) / value for way in (-1, 1))
    (low, below), (high, under) = (end.as_integer_ratio() for end in ends)
    for power in range(1, FURTHEST_POWER + 1):
        times = 10**power
        small = low <= times * below and times * under <= high
        if small or (low * times <= below and under <= high * times):
            size = f"{times} times too {'small' if small else 'large'}"
            return (
                "power-of-ten",
                f"The figures are right and the size is {size}: look at the prefixes of the units.",
            )
    return "", ""


def _misconception(part: Part, value: Fraction) -> tuple[str | None, str]:
    """Find the recognised wrong answer nearest to the value, if one is near enough."""
    near = []
    for place, wrong in enumerate(part.wrong):
        off = abs(value - wrong.value)
        room = Fraction(0) if part.exact else max(half_step(part.decimals), part.tolerance(wrong.value))
        if off <= room:
            near.append((off, place))
    if not near:
        return None, ""
    wrong = part.wrong[min(near)[1]]
    return wrong.misconception, wrong.says
