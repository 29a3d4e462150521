"""What a cell of a file for people may hold, and why a file is not read. Plain values only."""

from dataclasses import dataclass
from enum import StrEnum

# What makes a spreadsheet program take a cell for a formula, or for more than one cell; full-width forms count as well.
FORMULA = frozenset("=+-@\t\r\n|%＝＋－＠")
# Passed over by programs that look for a formula: spaces, no-break and ideographic space, marks without a width.
BLANK = " \u00a0\u3000\ufeff\u200b"
APOSTROPHE = "'"


def is_formula(text: str) -> bool:
    """Say whether a spreadsheet program could take this text for a formula."""
    return text.lstrip(BLANK)[:1] in FORMULA and text.strip(BLANK) != ""


def harmless(text: str) -> str:
    """Return a text that no spreadsheet program takes for a formula: with an apostrophe before it where it could be.

    The usual defence against formula injection (OWASP Application Security Verification Standard 5.0, 1.2.10).
    """
    return f"{APOSTROPHE}{text}" if is_formula(text) else text


def unmarked(text: str) -> str:
    """Take back the apostrophe that `harmless` put before a text."""
    rest = text.removeprefix(APOSTROPHE)
    return rest if is_formula(rest) else text


class Trouble(StrEnum):
    """Why a file as a whole is not read."""

    EMPTY = "empty"
    TOO_BIG = "too big"
    TOO_MANY_LINES = "too many lines"
    TOO_WIDE = "too wide"
    ENCODING = "encoding"
    NUL = "nul"
    QUOTE = "quote"
    OLD = "old"
    MACROS = "macros"
    DAMAGED = "damaged"


class Unreadable(Exception):
    """The file is not read; `line` counts from 1 where one is to blame, else it is 0."""

    def __init__(self, trouble: Trouble, *, line: int = 0) -> None:
        super().__init__(trouble)
        self.trouble = trouble
        self.line = line


@dataclass(frozen=True, slots=True)
class Row:
    """One row with something in it; `line` is its number as the program that wrote the file shows it."""

    line: int
    cells: tuple[str, ...]
