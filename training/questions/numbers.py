"""A part answered by a number: its key, its recognised wrong answers, its working, and when to reject the values."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from string import ascii_lowercase

from training.questions.book import Book
from training.questions.item import Input, Part, Wrong
from training.questions.rounding import half_step, printed, round_half_up, rounded, written
from training.questions.specs import AnswerSpec, Ask, Inputs, PartSpec
from training.questions.units import unit
from training.questions.values import PART, Rejected, Values, run, slots

CLOSEST = Fraction(5, 100)


def number_part(spec: PartSpec, answer: AnswerSpec, *, values: Values, book: Book) -> Part:
    """Return the part, and record its answer for the parts after it. Raises Rejected."""
    taken = slots(book, spec.computation, spec.inputs, values.exact)
    key = settled(run(book, spec.computation, taken, answer.unit), answer.round)
    part = Part(
        name=spec.name,
        prompt=values.fill(spec.prompt),
        ask=Ask.NUMBER,
        hint=unit(answer.unit).symbol if answer.print_unit else "",
        decimals=answer.decimals,
        round=answer.round,
        value=key,
        unit=answer.unit,
        shown=written(key, answer.decimals),
        absolute=answer.absolute,
        relative=answer.relative,
        wrong=tuple(_wrong(spec, answer, values, book)),
        computation=spec.computation,
        inputs={name: _named(spec.inputs, name, value) for name, value in taken.items()},
        sane=spec.sane,
        carry=spec.carry,
        reason=answer.reason,
        working=_working(spec, answer, key, values, book),
        source=spec.source,
    )
    _check(part)
    _check_chain(part, spec, values, book)
    values.add(spec.name, key, answer.unit, part.shown)
    values.exact[f"{PART}{spec.name}"] = (key, answer.unit)
    return _with_options(part) if answer.options else part


def settled(value: Fraction, how: str) -> Fraction:
    """Return a computed value as the key it makes: whole when counted up or down, otherwise as it is."""
    return value if how == "nearest" else rounded(value, 0, how)


def _named(inputs: Inputs, name: str, value: float) -> Input:
    source = inputs.get(name, name)
    return {"part": source.removeprefix(PART)} if source.startswith(PART) else value


def _wrong(spec: PartSpec, answer: AnswerSpec, values: Values, book: Book) -> list[Wrong]:
    found = []
    for wrong in spec.wrong:
        taken = slots(book, wrong.computation, {**spec.inputs, **wrong.inputs}, values.exact)
        value = settled(run(book, wrong.computation, taken, answer.unit), answer.round)
        says = book.entries[wrong.computation].says
        shown = written(value, answer.decimals)
        found.append(Wrong(value=value, shown=shown, misconception=wrong.computation, says=says))
    return found


def _working(spec: PartSpec, answer: AnswerSpec, key: Fraction, values: Values, book: Book) -> tuple[str, ...]:
    local = Values(dict(values.exact), dict(values.digits))
    local.add("answer", key, answer.unit, written(key, answer.decimals))
    for show in spec.show:
        taken = slots(book, show.computation, {**spec.inputs, **show.inputs}, values.exact)
        value = run(book, show.computation, taken, show.unit)
        local.add(show.name, value, show.unit, written(value, show.decimals))
    return tuple(local.fill(line) for line in spec.lines)


def _check(part: Part) -> None:
    key, tolerance = Fraction(part.shown), part.tolerance(part.value)
    if not key:
        raise Rejected("zero")
    if not part.exact and tolerance < half_step(part.decimals):
        raise Rejected("narrow")
    if tolerance >= abs(part.value):
        raise Rejected("wide")
    shown = [part.shown, *(wrong.shown for wrong in part.wrong)]
    if len(set(shown)) < len(shown):
        raise Rejected("equal")
    # Compared as printed too: a person who rounds a wrong answer correctly must still be outside.
    if any(
        abs(value - part.value) <= tolerance for wrong in part.wrong for value in (wrong.value, Fraction(wrong.shown))
    ):
        raise Rejected("tolerance")


def _check_chain(part: Part, spec: PartSpec, values: Values, book: Book) -> None:
    """Reject when someone who carries the earlier answers on as printed would be marked wrong."""
    if not any(isinstance(value, Mapping) for value in part.inputs.values()):
        return
    as_printed = {name: (_printed(name, value, values), spelling) for name, (value, spelling) in values.exact.items()}
    taken = slots(book, spec.computation, spec.inputs, as_printed)
    reached = settled(run(book, spec.computation, taken, part.unit), part.round)
    if abs(round_half_up(reached, part.decimals) - part.value) > part.tolerance(part.value):
        raise Rejected("chain")


def _printed(name: str, value: Fraction, values: Values) -> Fraction:
    return Fraction(values.digits[name.removeprefix(PART)][0]) if name.startswith(PART) else value


def _with_options(part: Part) -> Part:
    """Turn key and wrong answers into options, in the order of their size: a ladder is not shuffled."""
    key = Fraction(part.shown)
    ladder = sorted([(key, ""), *((Fraction(wrong.shown), wrong.says) for wrong in part.wrong)])
    if any(abs(first - second) < CLOSEST * abs(key) for (first, _), (second, _) in combinations(ladder, 2)):
        raise Rejected("close")
    if any(value * key <= 0 for value, _ in ladder):
        raise Rejected("sign")
    symbol = unit(part.unit).symbol
    rungs = dict(zip(ascii_lowercase, ladder, strict=False))
    return replace(
        part,
        ask=Ask.ONE,
        hint="",
        options=tuple((name, printed(written(value, part.decimals), symbol)) for name, (value, _) in rungs.items()),
        right=tuple(name for name, (value, _) in rungs.items() if value == key),
        option_says={name: says for name, (_, says) in rungs.items() if says},
    )
