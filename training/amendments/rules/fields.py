"""The fields of an amendment's two pages, the whole module and one step: from what was sent to a text, and back.

A figure of a step has the fields `figure-1-says`, `figure-1-value` and so on; a list has one entry a line.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from training.content.typed import plain

Sent = Mapping[str, Sequence[str]]

LISTS = ("tools", "stops", "field_limit", "sources")
STEP = ("title", "text", "why", "caution", "hold", "drawing")
FIGURE = ("says", "value", "unit", "bound", "value_to", "source")
DEMAND = ("demand", "within_days", "overdue")
MOST_FIGURES, MOST_LINES = 12, 60
_WHOLE = re.compile(r"[0-9]{1,6}\Z")


def word(sent: Sent, name: str) -> str:
    """Return what was sent for a field, as text that every database keeps; the last of several counts."""
    values = sent.get(name) or [""]
    return plain(values[-1])


def lines(text: str) -> list[str]:
    """Return the entries of a list typed one a line."""
    return [line.strip() for line in text.split("\n") if line.strip()][:MOST_LINES]


def parts_typed(sent: Sent) -> dict[str, Any]:
    """Return the parts of a module beside its steps, as sent."""
    parts: dict[str, Any] = {name: word(sent, name) for name in ("title", "purpose")}
    return parts | {name: lines(word(sent, name)) for name in LISTS} | {"revision": _demand(sent)}


def _demand(sent: Sent) -> dict[str, Any] | None:
    """Return what is asked of card holders, or None where nothing is typed about it."""
    demand: dict[str, Any] = {name: word(sent, name) for name in DEMAND} | {"questions": lines(word(sent, "questions"))}
    days = demand["within_days"]
    demand["within_days"] = int(days) if _WHOLE.match(days) else days
    return demand if any(demand.values()) else None


def parts_fields(text: Mapping[str, Any]) -> dict[str, str]:
    """Return the parts of a module beside its steps, as they stand in their fields."""
    demand = text.get("revision") or {}
    fields = {name: str(text[name]) for name in ("title", "purpose")} | {name: _area(text[name]) for name in LISTS}
    fields |= {name: str(demand.get(name) or "") for name in DEMAND}
    return fields | {"questions": _area(demand.get("questions", ()))}


def _area(entries: Sequence[str]) -> str:
    return "\n".join(entries)


def step_typed(sent: Sent, slug: str) -> dict[str, Any]:
    """Return a step as sent; an empty figure is left out, and so is one that is ticked to go."""
    step: dict[str, Any] = {"slug": slug} | {name: word(sent, name) for name in STEP}
    figures = [_figure(sent, place) for place in range(1, MOST_FIGURES + 1)]
    # Without questions there is no list of them, as in the files: older texts keep their fingerprint.
    step |= {"ask": asked} if (asked := lines(word(sent, "ask"))) else {}
    return step | {"tools": lines(word(sent, "tools")), "figures": [one for one in figures if one]}


def _figure(sent: Sent, place: int) -> dict[str, str] | None:
    row = {name: word(sent, f"figure-{place}-{name}") for name in FIGURE}
    # What the bound says of a figure that is not there does not make one.
    wanted = any(text for name, text in row.items() if name != "bound") and not word(sent, f"figure-{place}-gone")
    return row if wanted else None


def step_fields(step: Mapping[str, Any]) -> dict[str, str]:
    """Return a step as it stands in its fields, with an empty row for one more figure."""
    fields = {name: str(step[name]) for name in STEP} | {"tools": _area(step["tools"])}
    fields["ask"] = _area(step.get("ask", ()))
    rows = [*step["figures"], dict.fromkeys(FIGURE, "")][:MOST_FIGURES]
    for place, figure in enumerate(rows, start=1):
        fields |= {f"figure-{place}-{name}": str(figure[name]) for name in FIGURE}
    return fields
