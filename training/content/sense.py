"""Whether a question makes sense: units agree, names exist, options can be told apart, values can be drawn."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from training.questions.book import Book
from training.questions.draw import AuthoringError, draw
from training.questions.rounding import half_step
from training.questions.specs import AnswerSpec, Ask, Inputs, Kind, PartSpec, QuestionSpec
from training.questions.units import UnknownUnit, dimension
from training.questions.values import PART, PLACE


class Said(NamedTuple):
    """A mistake at a key of the question."""

    key: str
    reason: str


class Call(NamedTuple):
    """A computation as named in a question: its own inputs, those it shares, and the unit wanted."""

    name: str
    own: Inputs
    shared: Inputs
    unit: str


def _at(key: str, name: str) -> str:
    return f"{key}.{name}" if key else name


def senseless(spec: QuestionSpec, *, book: Book, seeds: int) -> list[Said]:
    """Return what is wrong with a question of sound shape; the first ``seeds`` draws are tried last."""
    said = [*_givens(spec, book), *_parts(spec, book)]
    if said or not any(part.ask is Ask.NUMBER for part in spec.parts):
        return said
    try:
        for seed in range(seeds):
            draw(spec, f"check:{seed}", book=book)
    except AuthoringError as error:
        return [Said("given", str(error))]
    return []


def _unit(key: str, spelling: str) -> Iterator[Said]:
    try:
        dimension(spelling)
    except UnknownUnit:
        yield Said(key, f"{spelling!r} is not a unit known here; write it like V, mohm/m or J/(kg*K)")


def _givens(spec: QuestionSpec, book: Book) -> Iterator[Said]:
    units: dict[str, str] = {}
    for given in spec.givens:
        key = f"given.{given.name}"
        yield from _unit(f"{key}.unit", given.unit)
        if given.computation:
            yield from _computation(key, Call(given.computation, given.inputs, {}, given.unit), units, book)
        units[given.name] = given.unit


def _computation(
    key: str, call: Call, units: Mapping[str, str], book: Book, *, mistake: bool = False
) -> Iterator[Said]:
    """Check a named computation against the units of the values it will be given and of the value it must give."""
    name, own, shared, unit = call
    entry = book.entries.get(name)
    if entry is None:
        yield Said(_at(key, "computation"), f"{name!r} is not in the catalogue of computations")
        return
    if (entry.mistake_of is not None) is not mistake:
        yield Said(
            _at(key, "computation"),
            f"{name!r} {'is not a known mistake' if mistake else 'is a mistake, not a computation'}",
        )
    if not _same(entry.output.unit, unit):
        yield Said(
            _at(key, "computation"), f"{name!r} gives {dimension(entry.output.unit)}, which {unit!r} does not measure"
        )
    names = {slot.name for slot in entry.inputs}
    for wrong in sorted(set(own) - names):
        yield Said(_at(key, f"inputs.{wrong}"), f"{name!r} takes no such input; it takes {', '.join(sorted(names))}")
    for slot in entry.inputs:
        source = {**shared, **own}.get(slot.name, slot.name)
        if source not in units:
            yield Said(_at(key, f"inputs.{slot.name}"), f"{source!r} is no value given before this; {name!r} needs it")
        elif not _same(units[source], slot.unit):
            yield Said(
                _at(key, f"inputs.{slot.name}"),
                f"{name!r} needs {dimension(slot.unit)} and {source!r} is in {units[source]!r}",
            )


def _same(unit: str, other: str) -> bool:
    try:
        return dimension(unit) == dimension(other)
    except UnknownUnit:
        return True  # already said where the unit is written


def _parts(spec: QuestionSpec, book: Book) -> Iterator[Said]:
    units = {given.name: given.unit for given in spec.givens}
    # Earlier answers may be named in the working, never in what is shown before the paper is handed in.
    texts, answers, earlier = set(units), set[str](), dict[str, PartSpec]()
    yield from _places("prompt", spec.prompt, texts)
    for part in spec.parts:
        key = f"part[{part.name}]." if spec.kind is Kind.SCENARIO else ""
        if part.name in texts | answers:
            yield Said(f"{key}name", f"{part.name!r} is used twice; each given and each part needs its own name")
        yield from _places(f"{key}prompt", part.prompt, texts)
        shown = texts | answers | {show.name for show in part.show} | ({"answer"} if part.answer else set())
        for show in part.show:
            yield from _unit(f"{key}show.{show.name}.unit", show.unit)
            call = Call(show.computation, show.inputs, part.inputs, show.unit)
            yield from _computation(f"{key}show.{show.name}", call, units, book)
        for line in part.lines:
            yield from _places(f"{key}working.lines", line, shown)
        if part.answer is not None:
            yield from _number(key, part, part.answer, units, book)
            yield from _carry(key, part, earlier)
            earlier[part.name] = part
            units[f"{PART}{part.name}"] = part.answer.unit
            answers.add(part.name)
        else:
            yield from _choices(key, part, texts)


def _places(key: str, text: str, names: set[str]) -> Iterator[Said]:
    for place in PLACE.findall(text):
        if place.removesuffix(".number") not in names:
            yield Said(
                key, f"{{{place}}} names no value known here; the known ones are {', '.join(sorted(names)) or 'none'}"
            )


def _number(key: str, part: PartSpec, answer: AnswerSpec, units: Mapping[str, str], book: Book) -> Iterator[Said]:
    yield from _unit(f"{key}answer.unit", answer.unit)
    yield from _computation(key.rstrip("."), Call(part.computation, part.inputs, {}, answer.unit), units, book)
    for place, wrong in enumerate(part.wrong, start=1):
        name = f"{key}wrong[{place}]"
        call = Call(wrong.computation, wrong.inputs, part.inputs, answer.unit)
        yield from _computation(name, call, units, book, mistake=True)
        entry = book.entries.get(wrong.computation)
        if entry is not None and entry.mistake_of not in (None, part.computation):
            yield Said(f"{name}.computation", f"is a mistake of {entry.mistake_of!r}, not of {part.computation!r}")
    if answer.round == "nearest" and not answer.relative and answer.absolute < half_step(answer.decimals):
        yield Said(
            f"{key}answer.absolute",
            "is narrower than half the last digit shown; a person who rounds correctly would fail",
        )
    if answer.options and len(part.wrong) < 2:
        yield Said(f"{key}wrong", "needs at least two wrong answers to make options of")


def _carry(key: str, part: PartSpec, earlier: Mapping[str, PartSpec]) -> Iterator[Said]:
    sources = [source.removeprefix(PART) for source in part.inputs.values() if source.startswith(PART)]
    if part.carry and not sources:
        yield Said(f"{key}carry", "is set but this part uses no earlier part; write an input as 'part:<name>'")
    for source in sources:
        if part.carry and source in earlier and earlier[source].sane is None:
            yield Said(
                f"part[{source}].sane",
                f"is missing; say between which values its answer may be carried on to {part.name!r}",
            )


def _choices(key: str, part: PartSpec, names: set[str]) -> Iterator[Said]:
    texts = [option.text for option in part.options] or list(part.order)
    for text in (*texts, *(option.says for option in part.options)):
        yield from _places(f"{key}{'option' if part.options else 'order'}", text, names)
    if len(set(texts)) < len(texts):
        yield Said(f"{key}option", "holds the same text twice")
    if part.ask is Ask.ORDER:
        if not 3 <= len(texts) <= 9:
            yield Said(f"{key}order", "needs from three to nine entries")
        for first, second in part.before:
            if not 0 <= first < second < len(texts):
                yield Said(
                    f"{key}before",
                    f"[{first}, {second}] must be two places of the order, counted from 0, earlier one first",
                )
        return
    right = sum(option.right for option in part.options)
    if not 3 <= len(texts) <= 9:
        yield Said(f"{key}option", "needs from three to nine options")
    if part.ask is Ask.ONE and right != 1:
        yield Said(f"{key}option", f"needs exactly one right option and has {right}")
    if part.ask is Ask.SEVERAL and not 1 <= right < len(texts):
        yield Said(
            f"{key}option", f"needs at least one right and one wrong option and has {right} right of {len(texts)}"
        )
