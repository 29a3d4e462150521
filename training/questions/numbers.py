"""A part answered by a number: its key, its recognised wrong answers, its working, and when to reject the values."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from string import ascii_lowercase

from training.questions.book import Book
from training.questions.item import Input, Part, Wrong
from training.questions.rounding import as_digits, last_digits, printed, round_half_up, rounded, written
from training.questions.specs import AnswerSpec, Ask, Inputs, PartSpec
from training.questions.units import unit
from training.questions.values import PART, Rejected, Values, run, slots

Slip = tuple[str, Fraction]
CLOSEST = 20  # options closer than a twentieth of the answer are too close


def number_part(spec: PartSpec, answer: AnswerSpec, *, values: Values, book: Book) -> Part:
    """Return the part, and record its answer for the parts after it. Raises Rejected."""
    chained = any(source.startswith(PART) for source in spec.inputs.values())
    taken = slots(book, spec.computation, spec.inputs, values.exact)
    key = settled(run(book, spec.computation, taken, answer.unit), answer.round)
    slips = _slips(spec, answer, values, book)
    # A value as shown is a count of its last digits: whole numbers, which compare faster than fractions.
    counts = [last_digits(value, answer.decimals) for value in (key, *(value for _, value in slips))]
    shown = as_digits(counts[0], answer.decimals)
    part = Part(
        name=spec.name,
        prompt=values.fill(spec.prompt),
        ask=Ask.NUMBER,
        hint=unit(answer.unit).symbol if answer.print_unit else "",
        decimals=answer.decimals,
        round=answer.round,
        value=key,
        unit=answer.unit,
        shown=shown,
        absolute=answer.absolute,
        relative=answer.relative,
        wrong=tuple(_wrong(slip, count, answer.decimals, book) for slip, count in zip(slips, counts[1:], strict=True)),
        computation=spec.computation,
        inputs=_named(spec.inputs, taken) if chained else taken,
        sane=spec.sane,
        carry=spec.carry,
        reason=answer.reason,
        working=_working(spec, values.with_answer(key, answer.unit, shown), book),
        source=spec.source,
    )
    _check(part, counts)
    if chained:
        _check_chain(part, spec, values, book)
    values.add(spec.name, key, answer.unit, shown)
    values.exact[f"{PART}{spec.name}"] = (key, answer.unit)
    return _with_options(part, counts) if answer.options else part


def settled(value: Fraction, how: str) -> Fraction:
    """Return a computed value as the key it makes: whole when counted up or down, otherwise as it is."""
    return value if how == "nearest" else rounded(value, 0, how)


def _named(inputs: Inputs, taken: Mapping[str, float]) -> dict[str, Input]:
    """Name the earlier part in the place of each value that came from one."""
    sources = {name: inputs.get(name, name) for name in taken}
    return {
        name: {"part": source.removeprefix(PART)} if source.startswith(PART) else taken[name]
        for name, source in sources.items()
    }


def _wrong(slip: Slip, count: int, decimals: int, book: Book) -> Wrong:
    name, value = slip
    return Wrong(value, as_digits(count, decimals), name, book.entries[name].says)


def _slips(spec: PartSpec, answer: AnswerSpec, values: Values, book: Book) -> list[Slip]:
    """Return the misconceptions with what each gives."""
    found = []
    for wrong in spec.wrong:
        inputs = {**spec.inputs, **wrong.inputs} if wrong.inputs else spec.inputs
        taken = slots(book, wrong.computation, inputs, values.exact)
        value = run(book, wrong.computation, taken, answer.unit)
        found.append((wrong.computation, settled(value, answer.round)))
    return found


def _working(spec: PartSpec, values: Values, book: Book) -> tuple[str, ...]:
    for show in spec.show:
        taken = slots(book, show.computation, {**spec.inputs, **show.inputs}, values.exact)
        value = run(book, show.computation, taken, show.unit)
        values.add(show.name, value, show.unit, written(value, show.decimals))
    return tuple(values.fill(line) for line in spec.lines)


def _check(part: Part, counts: list[int]) -> None:
    """Reject what cannot be told apart. Whole numbers throughout, over the common denominator of key and tolerance."""
    scale = 10**part.decimals
    (key, by), (slack, per) = part.value.as_integer_ratio(), part.tolerance(part.value).as_integer_ratio()
    if not counts[0]:
        raise Rejected("zero")
    if not part.exact and 2 * slack * scale < per:
        raise Rejected("narrow")
    if slack * by >= abs(key) * per:
        raise Rejected("wide")
    if len(set(counts)) < len(counts):
        raise Rejected("equal")
    low, high, below = key * per - slack * by, key * per + slack * by, by * per
    for wrong, count in zip(part.wrong, counts[1:], strict=True):
        top, bottom = wrong.value.as_integer_ratio()
        # Compared as printed too: a person who rounds a wrong answer correctly must still be outside.
        if low * bottom <= top * below <= high * bottom or low * scale <= count * below <= high * scale:
            raise Rejected("tolerance")


def _check_chain(part: Part, spec: PartSpec, values: Values, book: Book) -> None:
    """Reject when someone who carries the earlier answers on as printed would be marked wrong."""
    as_printed = {name: (_printed(name, value, values), spelling) for name, (value, spelling) in values.exact.items()}
    taken = slots(book, spec.computation, spec.inputs, as_printed)
    reached = settled(run(book, spec.computation, taken, part.unit), part.round)
    if abs(round_half_up(reached, part.decimals) - part.value) > part.tolerance(part.value):
        raise Rejected("chain")


def _printed(name: str, value: Fraction, values: Values) -> Fraction:
    return Fraction(values.digits[name.removeprefix(PART)]) if name.startswith(PART) else value


def _with_options(part: Part, counts: list[int]) -> Part:
    """Turn key and wrong answers into options, in the order of their size: a ladder is not shuffled."""
    key = counts[0]
    ladder = sorted([(key, ""), *zip(counts[1:], (wrong.says for wrong in part.wrong), strict=True)])
    if any(abs(first - second) * CLOSEST < abs(key) for (first, _), (second, _) in pairwise(ladder)):
        raise Rejected("close")
    if any(count * key <= 0 for count, _ in ladder):
        raise Rejected("sign")
    symbol = unit(part.unit).symbol
    rungs = dict(zip(ascii_lowercase, ladder, strict=False))
    return replace(
        part,
        ask=Ask.ONE,
        hint="",
        options=tuple((name, printed(as_digits(count, part.decimals), symbol)) for name, (count, _) in rungs.items()),
        right=tuple(name for name, (count, _) in rungs.items() if count == key),
        option_says={name: says for name, (_, says) in rungs.items() if says},
    )
