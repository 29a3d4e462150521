"""A module written out as ``procedure.toml``, so that reading the file gives the same module back."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from training.content.demands import Demand
from training.content.written import listed, quoted

# Drawings stand in files of their own beside the module's.
HEAD = ("language", "slug", "title", "order", "purpose", "changed")
LISTS = ("tools", "stops", "field_limit", "sources")
STEP = ("slug", "title", "text", "why", "caution", "hold")
FIGURE = ("says", "value", "unit", "bound", "value_to", "source")
# A demand that cards stand has nothing more to say.
DEMAND, STANDS = ("demand", "within_days", "overdue", "questions"), ("demand",)


def tables(body: Mapping[str, Any]) -> dict[str, Any]:
    """Return a module, given as ``ModuleSpec.as_json`` gives it, in the shape of its file."""
    steps = [_without(step, "figures") | {"figure": list(step["figures"])} for step in body["steps"]]
    return _without(body, "steps", "drawings", "revision") | _demand(body.get("revision")) | {"step": steps}


def _demand(demand: Mapping[str, Any] | None) -> dict[str, Any]:
    if not demand:
        return {}
    names = STANDS if demand["demand"] == Demand.STANDS else DEMAND
    return {"revision": {name: demand[name] for name in names if demand.get(name) not in (None, [], "")}}


def _without(table: Mapping[str, Any], *names: str) -> dict[str, Any]:
    return {name: value for name, value in table.items() if name not in names}


def written_module(body: Mapping[str, Any]) -> str:
    """Return the text of the file of a module, given as ``ModuleSpec.as_json`` gives it."""
    return "\n".join([*_head(body), *(line for step in body["steps"] for line in _step(step)), ""])


def _head(body: Mapping[str, Any]) -> Iterator[str]:
    yield from _values(body, HEAD)
    for name in LISTS:
        if body[name]:
            yield f"{name} = {listed([quoted(one) for one in body[name]], wide=len(body[name]) > 1)}"
    for name, table in _demand(body.get("revision")).items():
        yield from ("", f"[{name}]", *_values(table, tuple(table)))


def _step(step: Mapping[str, Any]) -> Iterator[str]:
    ask, drawing = ((name,) if step.get(name) else () for name in ("ask", "drawing"))
    yield from ("", "[[step]]", *_values(step, (*STEP, *ask, "tools", *drawing)))
    for figure in step["figures"]:
        yield from ("[[step.figure]]", *_values(figure, FIGURE))


def _values(table: Mapping[str, Any], names: tuple[str, ...]) -> Iterator[str]:
    for name in names:
        yield f"{name} = {_value(table[name])}"


def _value(value: str | int | Sequence[str]) -> str:
    if isinstance(value, int):
        return str(value)
    return quoted(value) if isinstance(value, str) else listed([quoted(one) for one in value], wide=False)
