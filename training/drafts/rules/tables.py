"""From what was typed to a question in the shape of one table of a file, and back."""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from training.content.typed import number
from training.drafts.rules.fields import ROW, SHOW, WHOLE, How, Row, Typed, names, rows_asked, slots, ticked, word
from training.questions.specs import in_written_order


def given_rows(typed: Typed, computation: str) -> list[Row]:
    """Return the rows of values: those the author added and filled in, then one for each input."""
    inputs = (Row(f"in-{slot.name}-", slot.name) for slot in slots(computation))
    return [*_filled(typed, "value", "values", ROW), *inputs]


def show_rows(typed: Typed) -> list[Row]:
    """Return the filled-in rows of values for the working."""
    return _filled(typed, "show", "shows", SHOW)


def _filled(typed: Typed, kind: str, count: str, ends: Iterable[str]) -> list[Row]:
    ends = ("name", *(end for end in ends if end != "how"))
    prefixes = (f"{kind}-{number}-" for number in range(1, rows_asked(typed, count) + 1))
    return [Row(one, word(typed, f"{one}name")) for one in prefixes if any(word(typed, one + end) for end in ends)]


def question(typed: Typed, *, computation: str, version: int) -> dict[str, Any]:
    """Return the question in the shape of one table of a file; what is empty is left out, to be missed there."""
    table: dict[str, Any] = {name: word(typed, name) for name in ("key", "topic", "level", "pool", "prompt")}
    table |= {"minutes": whole(word(typed, "minutes")), "steps": ticked(typed, "steps")}
    table |= {"enemies": word(typed, "enemies").split(), "safety": bool(word(typed, "safety"))}
    lines = [line.strip() for line in word(typed, "lines").split("\n") if line.strip()]
    return _kept(table | {"version": version, "kind": "calculation", "computation": computation}) | {
        "given": dict(_ordered({row.name: _given(typed, row.prefix) for row in given_rows(typed, computation)})),
        "answer": _answer(typed),
        "wrong": [{"computation": key} for key in ticked(typed, "wrong")],
        "show": {row.name: _kept(_computed(typed, row.prefix)) for row in show_rows(typed)},
        "working": _kept({"lines": lines, "source": word(typed, "source")}),
    }


def _kept(table: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in table.items() if value not in ("", [], {})}


def _answer(typed: Typed) -> dict[str, Any]:
    table: dict[str, Any] = {name: word(typed, f"answer-{name}") for name in ("unit", "round", "reason", "ask")}
    table |= {name: number(word(typed, f"answer-{name}")) for name in ("relative", "absolute")}
    return _kept(table | {"decimals": whole(word(typed, "answer-decimals"))})


def _given(typed: Typed, prefix: str) -> dict[str, Any]:
    """Return one value; the key that says how it comes about stays where it is empty, so that it is asked for."""
    how, several = word(typed, f"{prefix}how"), word(typed, f"{prefix}list")
    table = _kept({name: word(typed, prefix + name) for name in ("unit", "symbol", "says")})
    if how == How.GRID:
        start, *rest = (number(word(typed, prefix + name)) for name in ("from", "to", "step"))
        return {"from": start or None} | _kept(dict(zip(("to", "step"), rest, strict=True))) | table
    if how == How.CHOICE:
        return {"choice": [number(one) for one in re.split(r"[;,]?\s+|;", several) if one]} | table
    if how == How.CONSTANT:
        return {"constant": number(several) or None} | table
    return _kept(_computed(typed, prefix)) | table if how == How.COMPUTATION else table


def _computed(typed: Typed, prefix: str) -> dict[str, Any]:
    return {
        "computation": word(typed, f"{prefix}computation") or None,
        "decimals": whole(word(typed, f"{prefix}decimals")),
        "inputs": pairs(word(typed, f"{prefix}inputs")),
        "unit": word(typed, f"{prefix}unit"),
    }


def _ordered(givens: Mapping[str, dict[str, Any]]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Put values worked out from others after those; what goes round in a circle comes last, to be refused."""
    waiting = dict(givens)
    while waiting:
        ready = [name for name, given in waiting.items() if not _sources(given) & set(waiting)]
        for name in ready or list(waiting):
            yield name, waiting.pop(name)


def _sources(given: Mapping[str, Any]) -> set[str]:
    own: Mapping[str, str] = given.get("inputs", {})
    return {own.get(slot.name, slot.name) for slot in slots(given.get("computation") or "")}


def pairs(text: str) -> dict[str, str]:
    """Read `area = size, temperature = ambient`; a piece without a sign names an input and no value, to be refused."""
    pieces = (piece.partition("=") for piece in re.split(r"[,;\n]", text) if piece.strip())
    return {name.strip(): value.strip() for name, _sign, value in pieces}


def whole(text: str) -> int | str:
    """Return a whole number, or the text as typed, to be refused."""
    return int(text) if WHOLE.match(text) else text


def typed_from(body: Mapping[str, Any]) -> dict[str, str | list[str]]:
    """Return a calculation question as it would be typed, so that it can be revised."""
    computation = body["computation"]
    given, show = (in_written_order(body.get(name, {})) for name in ("given", "show"))
    inputs = {slot.name for slot in slots(computation)}
    more = [name for name in given if name not in inputs]
    places = {name: f"value-{place}-" for place, name in enumerate(more, start=1)}
    found: dict[str, Any] = {name: body.get(name) for name in ("key", "topic", "level", "minutes", "pool", "prompt")}
    found |= {"values": len(more), "shows": len(show), "safety": "on" if body.get("safety") else ""}
    found |= {f"answer-{name}": value for name, value in ({"ask": "number"} | body["answer"]).items()}
    found |= {"lines": "\n".join(body["working"]["lines"]), "source": body["working"]["source"]}
    found |= {"enemies": "\n".join(body.get("enemies", []))}
    for name, table in given.items():
        row = _typed_row(table) | ({"name": name} if name in places else {})
        found |= {places.get(name, f"in-{name}-") + end: value for end, value in row.items()}
    for place, (name, table) in enumerate(show.items(), start=1):
        found |= {f"show-{place}-{end}": value for end, value in ({"name": name} | table).items()}
    texts: dict[str, str | list[str]] = {name: text for name in names(computation) if (text := _text(found.get(name)))}
    wrong = [one["computation"] for one in body.get("wrong", [])]
    return texts | _kept({"steps": list(body.get("steps", [])), "wrong": wrong})


def _typed_row(table: Mapping[str, Any]) -> dict[str, Any]:
    how = next((one for one in How if one.value in table), How.GRID)
    return {**table, "how": how.value, "list": table.get("choice", table.get("constant"))}


def _text(value: object) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{name} = {source}" for name, source in value.items())
    if isinstance(value, list):
        return " ".join(map(str, value))
    return "" if value is None else str(value)
