"""The fields of a draft's page, and what was typed into them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from training.calc.catalogue import CATALOGUE, Slot
from training.content.typed import plain

Typed = Mapping[str, str | list[str]]

TEXTS = (
    "key",
    "topic",
    "level",
    "minutes",
    "safety",
    "pool",
    "prompt",
    "enemies",
    "lines",
    "source",
    "values",
    "shows",
)
ANSWER = ("unit", "decimals", "round", "relative", "absolute", "reason", "ask")
LISTS = ("steps", "wrong")
ROW = ("how", "from", "to", "step", "list", "computation", "inputs", "decimals", "unit", "symbol", "says")
SHOW = ("name", "computation", "inputs", "unit", "decimals")
MOST_ROWS, MOST_TICKED = 8, 60
# What the buttons of the page send.
ADD_VALUE, ADD_SHOW, DRAWS_PAGE = "add-value", "add-show", "draws"

WHOLE = re.compile(r"[+-]?[0-9]{1,9}\Z")


class How(StrEnum):
    """How a value comes about."""

    GRID = "grid"
    CHOICE = "choice"
    CONSTANT = "constant"
    COMPUTATION = "computation"


@dataclass(frozen=True, slots=True)
class Row:
    """A row of fields: the prefix of their names and the name it gives its value."""

    prefix: str
    name: str

    @property
    def free(self) -> bool:
        """Say whether the author names this row; the row of an input bears the input's name."""
        return not self.prefix.startswith("in-")


def slots(computation: str) -> tuple[Slot, ...]:
    """Return the inputs of a computation; one that has left the catalogue has none."""
    return CATALOGUE[computation].inputs if computation in CATALOGUE else ()


def output_unit(computation: str) -> str:
    """Return the unit of what a computation gives, or nothing where it has left the catalogue."""
    return CATALOGUE[computation].output.unit if computation in CATALOGUE else ""


def names(computation: str) -> list[str]:
    """Return the name of every text field that the page of a draft about this computation can send."""
    numbers = range(1, MOST_ROWS + 1)
    rows = [f"in-{slot.name}-{end}" for slot in slots(computation) for end in ROW]
    rows += [f"value-{number}-{end}" for number in numbers for end in ("name", *ROW)]
    rows += [f"show-{number}-{end}" for number in numbers for end in SHOW]
    return [*TEXTS, *(f"answer-{end}" for end in ANSWER), *rows]


def typed(sent: Mapping[str, Sequence[str]], computation: str) -> dict[str, str | list[str]]:
    """Return what was sent for the fields of the page, as text that every database keeps; anything else is left out."""
    found: dict[str, str | list[str]] = {
        name: text for name in names(computation) if sent.get(name) and (text := plain(sent[name][-1]))
    }
    return found | {name: [plain(one)[:100] for one in sent[name][:MOST_TICKED]] for name in LISTS if sent.get(name)}


def word(typed: Typed, name: str) -> str:
    """Return what was typed into a text field."""
    value = typed.get(name, "")
    return value if isinstance(value, str) else ""


def ticked(typed: Typed, name: str) -> list[str]:
    """Return what was ticked in a list."""
    value = typed.get(name, [])
    return value if isinstance(value, list) else []


def rows_asked(typed: Typed, name: str) -> int:
    """Return how many rows the page has of `values` or of `shows`."""
    text = word(typed, name)
    return min(max(int(text), 0), MOST_ROWS) if WHOLE.match(text) else 0


def pressed(typed: Typed, act: str) -> tuple[dict[str, str | list[str]], str]:
    """Return what was typed with the row that a button adds, and the field or page to go to next, or neither."""
    rows = {ADD_VALUE: ("values", "value"), ADD_SHOW: ("shows", "show")}
    if act not in rows:
        return dict(typed), DRAWS_PAGE if act == DRAWS_PAGE else ""
    name, kind = rows[act]
    count = min(rows_asked(typed, name) + 1, MOST_ROWS)
    return {**typed, name: str(count)}, f"{kind}-{count}-name"


def count(text: str) -> int:
    """Return a count sent by a page, or one that no draft has."""
    return int(text) if WHOLE.match(text) else -1
