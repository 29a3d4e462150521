"""The heads and lines of a roster, read cell by cell; what is wrong with a cell is said once, here."""

import csv
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from training.people.rules import folded
from training.tables.rules import BLANK, Row, is_formula, unmarked


class Column(StrEnum):
    """What a column of a roster says."""

    NUMBER = "number"
    NAME = "name"
    USERNAME = "username"
    EMAIL = "email"
    CREW = "crew"
    SITE = "site"
    LAST_DAY = "last_day"


# What a column may be called, as searches compare texts; the first is what a file made here calls it.
HEADS: Mapping[Column, tuple[str, ...]] = {
    Column.NUMBER: ("Number", "Employee number", "Works number", "Payroll number", "Staff number", "No"),
    Column.NAME: ("Name", "Full name"),
    Column.USERNAME: ("User name", "Username"),
    Column.EMAIL: ("E-mail", "Email", "Mail", "E-mail address", "Email address"),
    Column.CREW: ("Crew", "Crews", "Gang"),
    Column.SITE: ("Site",),
    Column.LAST_DAY: ("Last day",),
}
LONGEST: Mapping[Column, int] = {
    Column.NUMBER: 40,
    Column.NAME: 120,
    Column.USERNAME: 60,
    Column.EMAIL: 254,
    # The names of many crews.
    Column.CREW: 1_000,
    Column.SITE: 120,
    Column.LAST_DAY: 20,
}
USERNAME = re.compile(r"[a-z0-9][a-z0-9._-]*")
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
# They turn the order of the letters round them about, so that a name reads as another (UAX #9, 2.1 to 2.5).
TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
# Without a width, or a sign that stands for a lost letter: two names that look the same would be two.
LOST = frozenset("\u200b\u2060\ufeff\ufffc\ufffd")
SPACING = frozenset("\t\n\r")
# Said in the column of the crew by whoever is to be in none; an empty cell changes nothing.
NO_CREW = "none"


class Flaw(StrEnum):
    """What is wrong with a line; the words for it say what to do."""

    NO_NAME = "no name"
    FORMULA = "formula"
    UNSEEN = "unseen"
    LONG = "long"
    USERNAME = "username"
    EMAIL = "email"
    DAY = "day"
    MORE_CELLS = "more cells"
    CREW = "crew"
    SITE = "site"
    TWICE = "twice"
    NUMBER_TWICE = "number twice"
    USERNAME_TWICE = "username twice"
    NAMESAKE = "namesake"
    USERNAME_TAKEN = "username taken"
    USERNAME_OTHER = "username other"
    TWO_PEOPLE = "two people"
    PAST = "past"
    PLANNED = "planned"
    OTHER_ROLE = "other role"
    NOT_KEPT = "not kept"


@dataclass(frozen=True, slots=True)
class Wrong:
    """A flaw of one line, in one column where one is to blame; `about` is what it says there, or the other line."""

    line: int
    column: Column | None
    flaw: Flaw
    about: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One line read: an empty text changes nothing, nor does `crews` where it is None."""

    line: int
    name: str
    number: str = ""
    username: str = ""
    email: str = ""
    crews: tuple[str, ...] | None = None
    site: str = ""
    last_day: date | None = None


@dataclass(frozen=True, slots=True)
class Heads:
    """At which place each column stands, and the heads of those that are not read."""

    places: Mapping[Column, int]
    unread: tuple[str, ...]
    width: int


class NoHeads(Exception):
    """The first row does not say which column is which: the name is missing, or a column stands twice."""

    def __init__(self, twice: str = "") -> None:
        super().__init__(twice)
        self.twice = twice


def tidy(text: str) -> str:
    """Return a text in composed form (UAX #15, NFC) with single plain spaces."""
    return unicodedata.normalize("NFC", " ".join(text.split()))


def head_of(column: Column) -> str:
    """Return what a column is called in a file made here."""
    return HEADS[column][0]


def heads(cells: Sequence[str]) -> Heads:
    """Read the heads. Raises NoHeads."""
    known = {folded(name): column for column, names in HEADS.items() for name in names}
    places: dict[Column, int] = {}
    unread: list[str] = []
    for place, cell in enumerate(cells):
        column = known.get(folded(cell))
        if column is None:
            unread += [tidy(cell)] if cell.strip() else []
        elif column in places:
            raise NoHeads(tidy(cell))
        else:
            places[column] = place
    if Column.NAME not in places:
        raise NoHeads
    return Heads(places, tuple(unread), len(cells))


@dataclass
class _Cells:
    """The cells of one row, and what is wrong with them."""

    row: Row
    places: Mapping[Column, int]
    wrong: list[Wrong] = field(default_factory=list)

    def blame(self, column: Column | None, flaw: Flaw, about: str = "") -> None:
        self.wrong.append(Wrong(self.row.line, column, flaw, about))

    def text(self, column: Column) -> str:
        """Return what a cell says, or nothing once it is blamed."""
        place = self.places.get(column, len(self.row.cells))
        raw = self.row.cells[place].strip() if place < len(self.row.cells) else ""
        shown = unmarked(raw)
        if shown == raw and is_formula(raw):
            return self._refused(column, Flaw.FORMULA, raw.lstrip(BLANK)[:1])
        hidden = next((letter for letter in shown if _unseen(letter)), "")
        if hidden:
            return self._refused(column, Flaw.UNSEEN, f"U+{ord(hidden):04X}")
        said = tidy(shown)
        if len(said) > LONGEST[column]:
            return self._refused(column, Flaw.LONG, str(LONGEST[column]))
        return said

    def _refused(self, column: Column, flaw: Flaw, about: str) -> str:
        self.blame(column, flaw, about)
        return ""


def _unseen(letter: str) -> bool:
    hidden = unicodedata.category(letter) in ("Cc", "Cs") and letter not in SPACING
    return hidden or letter in TURNING or letter in LOST


def line_of(row: Row, found: Heads, *, is_mail: Callable[[str], bool]) -> tuple[Line, tuple[Wrong, ...]]:
    """Read one row; with anything wrong the line is not to be used."""
    cells = _Cells(row, found.places)
    name = cells.text(Column.NAME)
    if not folded(name) and not cells.wrong:
        cells.blame(Column.NAME, Flaw.NO_NAME)
    username = cells.text(Column.USERNAME)
    if username and not USERNAME.fullmatch(username):
        cells.blame(Column.USERNAME, Flaw.USERNAME, username)
    email = cells.text(Column.EMAIL)
    if email and not is_mail(email):
        cells.blame(Column.EMAIL, Flaw.EMAIL, email)
    day = cells.text(Column.LAST_DAY)
    last_day = _day(day)
    if day and last_day is None:
        cells.blame(Column.LAST_DAY, Flaw.DAY, day)
    number, crew, site = (cells.text(column) for column in (Column.NUMBER, Column.CREW, Column.SITE))
    if len(row.cells) > found.width:
        cells.blame(None, Flaw.MORE_CELLS)
    return Line(row.line, name, number, username, email, _crews(crew), site, last_day), tuple(cells.wrong)


def _day(text: str) -> date | None:
    """Read a day as ISO 8601 has it; 03/04/2026 is the third of April to one and the fourth of March to another."""
    if not DAY.fullmatch(text):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _crews(text: str) -> tuple[str, ...] | None:
    """Read the names of crews, parted by `;`, one that holds such a sign in quotation marks."""
    if not text:
        return None
    names = next(csv.reader([text], delimiter=";", skipinitialspace=True))
    return tuple(dict.fromkeys(name for name in map(tidy, names) if name)) or None
