"""What is wrong with a file or a line, and what a change does, in words that say what to do."""

from collections.abc import Mapping
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.people.models import Person
from training.rosters.rules import Change, Column, Flaw, Kept, NoHeads, Wrong
from training.tables.code import MOST_BYTES, MOST_COLUMNS, MOST_LINES
from training.tables.rules import Trouble, Unreadable

COLUMNS: Mapping[Column | None, Any] = {
    Column.NUMBER: gettext_lazy("Number"),
    Column.NAME: gettext_lazy("Name"),
    Column.USERNAME: gettext_lazy("User name"),
    Column.EMAIL: gettext_lazy("E-mail"),
    Column.CREW: gettext_lazy("Crew"),
    Column.SITE: gettext_lazy("Site"),
    Column.LAST_DAY: gettext_lazy("Last day"),
    None: gettext_lazy("the whole line"),
}

FLAWS: Mapping[Flaw, Any] = {
    Flaw.NO_NAME: gettext_lazy("Write the full name, as on the card."),
    Flaw.FORMULA: gettext_lazy(
        "Take the sign %(about)s away from the start: a spreadsheet takes this cell for a formula. "
        "Formulas are not worked out here: write what they come to."
    ),
    Flaw.UNSEEN: gettext_lazy(
        "Type this cell again: it holds a character that cannot be seen or was lost (%(about)s)."
    ),
    Flaw.LONG: gettext_lazy("Write at most %(about)s characters."),
    Flaw.USERNAME: gettext_lazy("Use small letters, digits, dots and hyphens only, such as a.smith."),
    Flaw.EMAIL: gettext_lazy("Write the address in full, such as a.smith@example.org, or leave the cell empty."),
    Flaw.DAY: gettext_lazy(
        "Write the day as year-month-day, such as 2026-04-03: “%(about)s” can be read in more than one way."
    ),
    Flaw.MORE_CELLS: gettext_lazy(
        "This line has more cells than there are heads. Put a cell that holds the separator in quotation marks."
    ),
    Flaw.CREW: gettext_lazy(
        "There is no crew “%(about)s” at this employer. Write the name the crew has today: it may have been given "
        "another one. A new crew is added under Employers, sites and crews first; one out of use is put in use there."
    ),
    Flaw.SITE: gettext_lazy(
        "The site of this crew is: %(about)s. Write that, or leave the cell empty: a crew’s site is not changed here."
    ),
    Flaw.TWICE: gettext_lazy("Line %(about)s means the same person. Keep one of the two."),
    Flaw.NUMBER_TWICE: gettext_lazy("Line %(about)s has the same number. Keep one line, or correct the number."),
    Flaw.USERNAME_TWICE: gettext_lazy("Line %(about)s has the same user name. Give each person their own."),
    Flaw.NAMESAKE: gettext_lazy(
        "There is more than one %(about)s. Write the employer’s number of each, so that they can be told apart."
    ),
    Flaw.USERNAME_TAKEN: gettext_lazy("The user name %(about)s is taken. Choose another, or leave the cell empty."),
    Flaw.USERNAME_OTHER: gettext_lazy(
        "This person’s user name is %(about)s. Write that, or leave the cell empty: user names are not changed here."
    ),
    Flaw.TWO_PEOPLE: gettext_lazy(
        "The number is that of %(about)s, and the user name is somebody else’s. Correct one of them."
    ),
    Flaw.PAST: gettext_lazy("This day is too long past: what held stays on record. Write yesterday or a later day."),
    Flaw.PLANNED: gettext_lazy(
        "A change that begins later is planned for this person. End that on the person’s own page first."
    ),
    Flaw.OTHER_ROLE: gettext_lazy(
        "%(about)s has a role beside that of a crew member. End that on the person’s own page first."
    ),
    Flaw.NOT_KEPT: gettext_lazy("Ask the certification body: the account of %(about)s is not among those you keep."),
}

UTF_8 = gettext_lazy("In the spreadsheet program choose Save as, then CSV UTF-8, or XLSX.")
TROUBLES: Mapping[Trouble, Any] = {
    Trouble.EMPTY: gettext_lazy("The file is empty. Choose one with a line of heads and a line for each person."),
    Trouble.TOO_BIG: gettext_lazy("The file is too big. Keep the sheet with the people only, below %(size)s MB."),
    Trouble.TOO_MANY_LINES: gettext_lazy("The file has more than %(lines)s lines. Bring it in parts."),
    Trouble.TOO_WIDE: gettext_lazy(
        "Line %(line)s has more than %(columns)s cells. Keep the columns listed below only."
    ),
    Trouble.ENCODING: gettext_lazy(
        "From line %(line)s on the letters cannot be read: the file is not in UTF-8. %(utf_8)s"
    ),
    Trouble.NUL: gettext_lazy("Line %(line)s holds bytes that are no letters. %(utf_8)s"),
    Trouble.QUOTE: gettext_lazy(
        "From line %(line)s on a quotation mark is open, or stands alone inside a cell. Close it, or double it."
    ),
    Trouble.OLD: gettext_lazy("The file is of an old kind, or locked with a password. %(utf_8)s"),
    Trouble.MACROS: gettext_lazy("The file holds macros. Save it as XLSX without them, or as CSV UTF-8."),
    Trouble.DAMAGED: gettext_lazy("The file is damaged or is no spreadsheet. %(utf_8)s"),
}


def of_file(fault: Unreadable | NoHeads) -> str:
    """Say why a file is not read, and what to do."""
    if isinstance(fault, NoHeads):
        if fault.twice:
            return _("Two columns are called “%(head)s”. Keep one of them.") % {"head": fault.twice}
        return _("The first line has no head “Name”. Write the heads listed below into the first line.")
    figures = {"size": MOST_BYTES // 1_000_000, "lines": MOST_LINES, "columns": MOST_COLUMNS}
    return str(TROUBLES[fault.trouble] % {**figures, "line": fault.line, "utf_8": UTF_8})


def of_line(wrong: Wrong) -> str:
    """Say what to do about a line."""
    return str(FLAWS[wrong.flaw] % {"about": wrong.about})


def of_change(change: Change, person: Person | None, crews: Mapping[int, str], times: Mapping[int, int]) -> str:
    """Say what is done to one person; `times` gives the crew of a time in a crew."""
    parts: list[str] = []
    if person is None:
        parts += [_("user name %(name)s") % {"name": change.username}]
        parts += [_("number %(number)s") % {"number": change.number}] if change.number else []
        parts += [_("e-mail %(email)s") % {"email": change.email}] if change.email else []
    elif change.renames:
        parts += [
            _("%(what)s: %(was)s becomes %(now)s") % {"what": what, "was": was or _("none"), "now": now}
            for what, was, now in _facts(change, person)
        ]
    parts += [_("account open again")] if change.reopens else []
    parts += [_("crew member again")] if change.returns and person else []
    parts += _crews(change, crews, times)
    parts += [_("last day %(day)s") % {"day": date_format(change.until_on)}] if change.until_on else []
    parts += [_("account closed")] if change.closes else []
    return "; ".join(parts)


def _facts(change: Change, person: Person) -> list[tuple[Any, str, str]]:
    every = [
        (COLUMNS[Column.NAME], person.name, change.name),
        (COLUMNS[Column.NUMBER], person.number, change.number),
        (COLUMNS[Column.EMAIL], person.email, change.email),
    ]
    return [(what, was, now) for what, was, now in every if now is not None]


def _crews(change: Change, crews: Mapping[int, str], times: Mapping[int, int]) -> list[str]:
    entered = [crews[pk] for pk in change.joins] + [
        crews[times[pk]] for table, pk in change.extends if table is Kept.CREW
    ]
    said = [_("into %(crews)s") % {"crews": ", ".join(entered)}] if entered else []
    for table, pk, day in change.ends:
        if table is Kept.CREW:
            said.append(_("last day in %(crew)s: %(day)s") % {"crew": crews[times[pk]], "day": date_format(day)})
        else:
            said.append(_("last day as a crew member: %(day)s") % {"day": date_format(day)})
    return said
