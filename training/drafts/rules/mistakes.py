"""Where a mistake of a question belongs on the page of its draft, and how it is said there."""

from collections.abc import Sequence
from dataclasses import dataclass

from training.content.mistakes import Mistake
from training.content.table import NAME
from training.content.typed import sentence
from training.drafts.rules.fields import ANSWER, LISTS, ROW, SHOW, TEXTS, Row, Typed, slots, word
from training.drafts.rules.tables import given_rows, show_rows
from training.questions.units import UnknownUnit, dimension
from training.questions.values import PLACE

NO_UNIT = "{!r} is not a unit known here; write it like V, mohm/m or J/(kg*K)"
NO_PLACE = "{{{}}} names no value known here; the known ones are {}"


@dataclass(frozen=True, slots=True)
class Objection:
    """A mistake: the field it belongs to, or none, and a sentence that says what to do."""

    field: str
    sentence: str


def placed(mistake: Mistake, typed: Typed, computation: str) -> Objection:
    """Return a mistake of the question as a sentence at the field it belongs to."""
    return Objection(_field(mistake.key, typed, computation), sentence(mistake.reason))


def _field(key: str, typed: Typed, computation: str) -> str:
    head, dot, rest = key.partition(".")
    if head in ("given", "show"):
        rows = given_rows(typed, computation) if head == "given" else show_rows(typed)
        return _row_field(rest, rows) if dot else ""
    if head == "inputs":
        return f"in-{rest}-unit" if rest in {slot.name for slot in slots(computation)} else ""
    if head == "working":
        return rest
    if head == "answer":
        return f"answer-{rest}" if rest in ANSWER else "answer-unit"
    # The computation was chosen from the list: what does not go with it is the unit of the answer.
    known = {"computation": "answer-unit", **{name: name for name in (*TEXTS, *LISTS)}}
    return known.get(head.partition("[")[0], "")


def _row_field(path: str, rows: Sequence[Row]) -> str:
    """Return the field of a row by a path such as `current.unit`."""
    fits = (row for row in rows if path == row.name or path.startswith(f"{row.name}."))
    row = max(fits, key=lambda row: len(row.name), default=None)
    if row is None:
        return ""
    end = path[len(row.name) + 1 :].partition(".")[0]
    if row.free and not end and not NAME.match(row.name):
        return f"{row.prefix}name"
    ends, otherwise = (SHOW, "computation") if row.prefix.startswith("show") else (ROW, "how")
    return row.prefix + ({"choice": "list", "constant": "list"} | {one: one for one in ends}).get(end, otherwise)


def twice(typed: Typed, computation: str) -> list[Row]:
    """Return the rows whose name an input, the answer or another row above them bears already."""
    rows = [*given_rows(typed, computation), *show_rows(typed)]
    taken = {"answer", *(row.name for row in rows if not row.free)}
    found = []
    for row in (row for row in rows if row.free and row.name):
        found += [row] if row.name in taken else []
        taken.add(row.name)
    return found


def spelt_wrong(typed: Typed, computation: str) -> list[Mistake]:
    """Return unknown units and placeholders, worded as the check of a question words them.

    That check looks at them only once everything else has its right shape; an author wants to hear all in one go.
    """
    rows = given_rows(typed, computation)
    units = {f"given.{row.name}.unit": word(typed, f"{row.prefix}unit") for row in rows}
    units |= {f"show.{row.name}.unit": word(typed, f"{row.prefix}unit") for row in show_rows(typed)}
    units["answer.unit"] = word(typed, "answer-unit")
    unknown = {key: spelling for key, spelling in units.items() if spelling and not _is(spelling)}
    found = [Mistake("", key, NO_UNIT.format(spelling)) for key, spelling in unknown.items()]
    names = sorted({row.name for row in rows})
    places = [place for place in PLACE.findall(word(typed, "prompt")) if place.removesuffix(".number") not in names]
    return found + [Mistake("", "prompt", NO_PLACE.format(place, ", ".join(names) or "none")) for place in places]


def _is(spelling: str) -> bool:
    try:
        dimension(spelling)
    except UnknownUnit:
        return False
    return True
