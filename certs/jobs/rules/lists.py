"""Lists of jobs as a spreadsheet has them: which column is which, and yes or no. Plain values only."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from certs.jobs.rules.plain import DAY
from training.tables.rules import unmarked

# Heads by the field they fill; the heads of schemes, which hold numbers of holders, are the schemes' own names.
HEADS: Mapping[str, str] = MappingProxyType(
    {
        "reference": "reference",
        "place": "place",
        "first day": "first_on",
        "last day": "last_on",
        "bonds": "bonds",
        "each day": "each",
        "crew": "crew",
        "cold": "cold",
        "night": "night",
        "supervisor": "cover",
    }
)
NEEDED = ("reference", "place", "first day", "last day", "bonds")
YES, NO = frozenset({"yes", "y", "true", "1", "x"}), frozenset({"", "no", "n", "false", "0"})


@dataclass(frozen=True, slots=True)
class Columns:
    """The head of each column, and which heads are missing, strange or there twice."""

    heads: tuple[str, ...]
    missing: tuple[str, ...]
    strange: tuple[str, ...]
    twice: tuple[str, ...]


def folded(head: str) -> str:
    """Return a head as heads are compared: small letters, one space between words; an empty one stays empty."""
    return " ".join(head.casefold().replace("_", " ").split())


def columns(cells: Sequence[str], schemes: Sequence[str]) -> Columns:
    """Say what the cells of the first line mean; `schemes` are the slugs of the schemes in use."""
    known = {folded(name): name for name in (*HEADS, *schemes)}
    heads = [known.get(folded(cell), folded(cell)) for cell in cells]
    return Columns(
        heads=tuple(heads),
        missing=tuple(name for name in NEEDED if name not in heads),
        strange=tuple(head for head in dict.fromkeys(heads) if head not in known.values()),
        twice=tuple(head for head in dict.fromkeys(heads) if head and heads.count(head) > 1),
    )


def said(cells: Sequence[str], heads: Columns) -> dict[str, str]:
    """Return what a line says by head, columns left out and cells beyond the line as empty; formulas stay texts."""
    padded = [*cells, *[""] * len(heads.heads)]
    return {head: unmarked(cell).strip() for head, cell in zip(heads.heads, padded, strict=False)}


def example(scheme: str, *, on: date) -> tuple[str, ...]:
    """Return the lines of a small file that is right: two jobs of the week after a day, for holders of one scheme."""
    first, second = (on + days * DAY for days in (7, 9))
    return (
        ",".join((*NEEDED, "each day", "night", scheme)),
        f"A-1,Down line 12.4 km,{first},{first + DAY},40,no,no,2",
        f"A-2,Yard road 2,{second},{second},15,yes,yes,1",
    )


def yes(text: str) -> bool | None:
    """Read yes or no, or None where it is neither."""
    word = text.casefold()
    return True if word in YES else False if word in NO else None
