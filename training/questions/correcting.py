"""A key found wrong after papers were handed in: what is right instead, put upon a drawn question.

The lines of a change are those the author wrote; each paper shuffled them, so they are found again by their text.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import Any

from training.questions.item import Item, Part
from training.questions.marks import PartMark
from training.questions.specs import plain
from training.questions.values import PLACE

DROPPED = "The question was taken out: everyone has its mark."


class What(StrEnum):
    """How a key is put right."""

    DROP = "drop"
    RIGHT = "right"
    ORDER = "order"
    TOLERANCE = "tolerance"


class Unmatched(ValueError):
    """A line stands on a paper not at all, or under more than one letter; `line` is that line."""

    def __init__(self, line: str) -> None:
        """Keep the line."""
        self.line = line
        super().__init__(line)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What is right instead: for DROP nothing more; for RIGHT and ORDER the lines; for TOLERANCE both widths.

    ``absolute`` is in the unit of the part, ``relative`` a share of the key.
    """

    what: What
    part: str = ""
    lines: tuple[str, ...] = ()
    absolute: Fraction = Fraction(0)
    relative: Fraction = Fraction(0)

    def as_json(self) -> dict[str, Any]:
        """Return the change as JSON values."""
        table = {"what": str(self.what), "part": self.part, "lines": list(self.lines)}
        return table | {"absolute": plain(self.absolute), "relative": plain(self.relative)}

    @classmethod
    def from_json(cls, table: Mapping[str, Any]) -> "Change":
        """Restore a change from what was stored."""
        widths = {name: Fraction(table[name]) for name in ("absolute", "relative")}
        return cls(what=What(table["what"]), part=table["part"], lines=tuple(table["lines"]), **widths)


def dropped(changes: Sequence[Change]) -> bool:
    """Say whether the question was taken out: nothing brings it back."""
    return any(change.what is What.DROP for change in changes)


def given_whole(mark: PartMark) -> PartMark:
    """Return the mark of a part of a question that was taken out, with the answer as read."""
    return PartMark(name=mark.name, share=Fraction(1), flags=("dropped",), says=DROPPED, read=mark.read)


def corrected(item: Item, changes: Sequence[Change]) -> Item:
    """Return a drawn question with its key put right, the changes one after the other. Raises Unmatched."""
    parts = item.parts
    for change in changes:
        parts = tuple(_part(part, change) if part.name == change.part else part for part in parts)
    return replace(item, parts=parts)


def _part(part: Part, change: Change) -> Part:
    if change.what is What.TOLERANCE:
        return replace(part, absolute=change.absolute, relative=change.relative)
    ids = tuple(_id(part, line) for line in change.lines)
    if change.what is What.ORDER:
        place = {name: number for number, name in enumerate(ids)}
        kept = tuple((first, second) for first, second in part.before if place[first] < place[second])
        return replace(part, order=ids, before=kept)
    return replace(
        part,
        right=tuple(name for name, _text in part.options if name in ids),
        unsafe=tuple(name for name in part.unsafe if name not in ids),
        option_says={name: says for name, says in part.option_says.items() if name not in ids},
    )


def _id(part: Part, line: str) -> str:
    """Return the letter under which a line of the author stands; what was drawn fills its gaps."""
    pattern = re.compile(".+".join(re.escape(text) for text in PLACE.split(line)[::2]), re.DOTALL)
    found = [name for name, text in part.options if pattern.fullmatch(text)]
    if len(found) != 1:
        raise Unmatched(line)
    return found[0]
