"""Questions read from TOML tables into specs: shape first, then sense (``sense.py``)."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from training.content.mistakes import ContentErrors, Mistake
from training.content.sense import senseless
from training.content.table import NAME, SLUG, Table
from training.questions.book import Book
from training.questions.pools import Pool
from training.questions.rounding import ROUNDINGS
from training.questions.specs import (
    AnswerSpec,
    Ask,
    GivenSpec,
    Kind,
    Level,
    OptionSpec,
    PartSpec,
    QuestionSpec,
    ShowSpec,
    WrongSpec,
    usual_pool,
)

_WHOLE_PARTS = {Kind.CALCULATION: Ask.NUMBER, Kind.ONE: Ask.ONE, Kind.SEVERAL: Ask.SEVERAL, Kind.ORDER: Ask.ORDER}


def read_question(data: Mapping[str, Any], *, book: Book, file: str = "question", seeds: int = 12) -> QuestionSpec:
    """Read one question as written on the site or stored; raises ContentErrors with every mistake."""
    mistakes: list[Mistake] = []
    spec = question(Table(data, file=file, path="", mistakes=mistakes), book=book, seeds=seeds)
    if spec is None:
        raise ContentErrors(mistakes)
    return spec


def question(
    table: Table, *, book: Book, language: str = "en", topic: str = "", seeds: int = 12
) -> QuestionSpec | None:
    """Read one ``[[question]]``; None when it has mistakes, which the table then holds.

    ``topic`` is the module the file belongs to; ``seeds`` is how many draws must succeed.
    """
    kind = table.choice("kind", Kind)
    givens = tuple(_given(name, inner) for name, inner in table.named("given").items())
    spec = QuestionSpec(
        key=table.text("key", shape=SLUG),
        version=table.whole("version"),
        kind=kind,
        topic=table.text("topic", shape=SLUG),
        level=table.choice("level", Level),
        safety=table.flag("safety"),
        anchor=table.flag("anchor"),
        steps=table.texts("steps"),
        enemies=table.texts("enemies"),
        pool=table.choice("pool", Pool, usual_pool(kind, givens)),
        minutes=table.whole("minutes", high=60),
        prompt=table.text("prompt"),
        language=table.text("language", language, shape=SLUG),
        givens=givens,
        parts=_parts(table, kind),
    )
    table.done()
    if topic and spec.topic != topic:
        table.refuse("topic", f"must be {topic!r}, the module this file belongs to")
    if spec.anchor and not spec.pool.for_papers:
        table.refuse("anchor", "cannot be set on a question of the practice pool; no paper draws it")
    if not table.sound:
        return None
    for said in senseless(spec, book=book, seeds=seeds):
        table.refuse(said.key, said.reason)
    return spec if table.sound else None


def _given(name: str, table: Table) -> GivenSpec:
    ways = [way for way in ("from", "choice", "constant", "computation") if way in table.data]
    if len(ways) != 1:
        table.refuse("", "needs exactly one of from/to/step, choice, constant or computation")
    grid = "from" in ways
    spec = GivenSpec(
        name=name,
        unit=table.text("unit"),
        symbol=table.text("symbol", ""),
        says=table.text("says", ""),
        grid=(table.decimal("from"), table.decimal("to"), table.decimal("step")) if grid else None,
        choice=table.decimals("choice"),
        constant=table.decimal("constant") if "constant" in ways else None,
        computation=table.text("computation") if "computation" in ways else "",
        inputs=table.inputs(),
        decimals=table.optional_whole("decimals", low=0, high=9),
    )
    table.done()
    if spec.computation and spec.decimals is None:
        table.refuse("decimals", "is missing; a derived value is rounded as shown before it is used")
    if "choice" in ways and len(set(spec.choice)) < 2:
        table.refuse("choice", "needs at least two different values")
    if spec.grid is not None:
        _check_grid(table, *map(Fraction, spec.grid))
    return spec


def _check_grid(table: Table, start: Fraction, stop: Fraction, step: Fraction) -> None:
    if step <= 0 or stop <= start:
        table.refuse("step", "the step must be above 0, and 'to' above 'from'")
    elif (stop - start) / step % 1:
        table.refuse("to", "is not reached from 'from' in whole steps")
    elif (stop - start) / step > 10_000:
        table.refuse("step", "makes more than 10000 values; take a coarser step")


def _parts(table: Table, kind: Kind) -> tuple[PartSpec, ...]:
    if kind is not Kind.SCENARIO:
        return (_part(table, "answer", "", _WHOLE_PARTS[kind], alone=True),)
    inners = table.tables("part")
    if len(inners) < 2:
        table.refuse("part", "needs at least two parts; with one it is not a scenario")
    parts = []
    for inner in inners:
        ask = inner.choice("kind", Ask, Ask.NUMBER)
        parts.append(_part(inner, inner.text("name", shape=NAME), inner.text("prompt"), ask, alone=False))
        inner.done()
    return tuple(parts)


def _part(table: Table, name: str, prompt: str, ask: Ask, *, alone: bool) -> PartSpec:
    number = ask is Ask.NUMBER
    working = table.table("working", {})
    spec = PartSpec(
        name=name,
        prompt=prompt,
        ask=ask,
        computation=table.text("computation") if number else "",
        inputs=table.inputs() if number else {},
        answer=_answer(table.table("answer")) if number else None,
        wrong=tuple(_wrong(inner) for inner in table.tables("wrong")) if number else (),
        show=tuple(_show(name, inner) for name, inner in table.named("show").items()),
        options=tuple(_option(inner) for inner in table.tables("option")) if ask in (Ask.ONE, Ask.SEVERAL) else (),
        order=table.texts("order", required=True) if ask is Ask.ORDER else (),
        before=_before(table) if ask is Ask.ORDER else (),
        sane=_sane(table.table("sane")) if number and not alone and "sane" in table.data else None,
        carry=_carry(table) if number and not alone else Fraction(0),
        lines=working.texts("lines", required=number),
        source=working.text("source", None if number else ""),
    )
    working.done()
    return spec


def _answer(table: Table) -> AnswerSpec:
    spec = AnswerSpec(
        unit=table.text("unit"),
        decimals=table.whole("decimals", low=0, high=9),
        round=table.text("round", "nearest"),
        relative=table.share("relative", Fraction(0)),
        absolute=table.share("absolute", Fraction(0), high=1_000_000_000),
        reason=table.text("reason", ""),
        options=table.text("ask", "number") == "options",
        print_unit=table.flag("print_unit", default=True),
    )
    table.done()
    if spec.round not in ROUNDINGS:
        table.refuse("round", f"must be one of {', '.join(ROUNDINGS)}")
    if table.data.get("ask", "number") not in ("number", "options"):
        table.refuse("ask", "must be number or options")
    _check_tolerance(table, spec)
    return spec


def _check_tolerance(table: Table, spec: AnswerSpec) -> None:
    close = spec.relative or spec.absolute
    if spec.round in ("up", "down"):
        if spec.decimals:
            table.refuse("decimals", f"must be 0 when the answer is rounded {spec.round}")
        if close:
            table.refuse("relative", f"must be left out: a number rounded {spec.round} is right or wrong")
    elif not close:
        table.refuse("relative", "give a tolerance: a share (relative), in the unit (absolute) or both, and why")
    elif not spec.reason:
        table.refuse("reason", "is missing; say why this tolerance is fair")
    if spec.relative >= 1:
        table.refuse("relative", "is as wide as the answer itself; make it smaller")


def _wrong(table: Table) -> WrongSpec:
    spec = WrongSpec(computation=table.text("computation"), inputs=table.inputs())
    table.done()
    return spec


def _show(name: str, table: Table) -> ShowSpec:
    spec = ShowSpec(
        name=name,
        computation=table.text("computation"),
        unit=table.text("unit"),
        decimals=table.whole("decimals", low=0, high=9),
        inputs=table.inputs(),
    )
    table.done()
    return spec


def _option(table: Table) -> OptionSpec:
    spec = OptionSpec(
        text=table.text("text"),
        right=table.flag("right"),
        says=table.text("says", ""),
        unsafe=table.flag("unsafe"),
        fixed=table.flag("fixed"),
    )
    table.done()
    if spec.right and spec.unsafe:
        table.refuse("unsafe", "cannot be set on a right option")
    if not spec.right and not spec.says:
        table.refuse("says", "is missing; say in plain words why a person believes this")
    return spec


def _before(table: Table) -> tuple[tuple[int, int], ...]:
    table.known.add("before")
    rows = table.data.get("before", [])
    good = isinstance(rows, list | tuple) and all(
        isinstance(row, list | tuple) and len(row) == 2 and all(type(place) is int for place in row) for row in rows
    )
    if not good:
        table.refuse("before", "must be a list of pairs of places, such as [[0, 2]]")
        return ()
    return tuple((row[0], row[1]) for row in rows)


def _sane(table: Table) -> tuple[Fraction, Fraction]:
    low, high = Fraction(table.decimal("from")), Fraction(table.decimal("to"))
    table.done()
    if low >= high:
        table.refuse("to", "must be above 'from'")
    return low, high


def _carry(table: Table) -> Fraction:
    if table.data.get("carry") == "full":
        table.known.add("carry")
        return Fraction(1)
    return table.share("carry", Fraction(0))
