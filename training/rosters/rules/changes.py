"""What a line changes of one person: facts, crews, the last day, the way back."""

from dataclasses import replace
from datetime import date
from typing import TypedDict

from training.people.rules import ends_too_early
from training.rosters.rules.lines import Column, Flaw, Line, Wrong, tidy
from training.rosters.rules.register import ONE_DAY, Change, Kept, Known, Spell


class Refused(Exception):
    """A line cannot be done as it stands."""

    def __init__(self, column: Column | None, flaw: Flaw, about: str = "") -> None:
        super().__init__(flaw)
        self.column, self.flaw, self.about = column, flaw, about

    def of(self, line: Line) -> Wrong:
        """Return it as the flaw of a line."""
        return Wrong(line.line, self.column, self.flaw, self.about)


class Leaving(TypedDict):
    """What ends when somebody leaves."""

    ends: tuple[tuple[Kept, int, date], ...]
    closes: bool


class Joining(TypedDict):
    """What begins, goes on and ends when crews change."""

    joins: tuple[int, ...]
    extends: tuple[tuple[Kept, int], ...]
    ends: tuple[tuple[Kept, int, date], ...]


def met(line: Line, known: Known, on: date) -> Change:
    """Return what a line changes of the facts about a known person, and the way back of one who had left."""
    if line.username not in ("", known.username):
        raise Refused(Column.USERNAME, Flaw.USERNAME_OTHER, known.username)
    change = Change(
        line.line,
        known.pk,
        name=line.name if line.name != tidy(known.name) else None,
        number=line.number if line.number not in ("", tidy(known.number)) else None,
        email=line.email if line.email not in ("", known.email) else None,
    )
    stays = known.other_role or known.going_on(on)
    return change if line.last_day or stays else _back(change, known)


def _back(change: Change, known: Known) -> Change:
    """Let somebody who had left come back as a crew member: from today, or on from a role that ends today.

    An account that was closed by hand while its roles go on stays closed: that was decided about this person.
    """
    roles = tuple((Kept.ROLE, spell.pk) for spell in known.spells if spell.table is Kept.ROLE)
    return replace(change, reopens=not known.is_active, extends=roles[-1:], gives_role=not roles)


def leaving(known: Known, last: date, on: date) -> Leaving:
    """Return what ends with a last day: once it is past, the account is closed as well. Raises Refused."""
    ending = known.going_on(last)
    closes = known.is_active and last < on
    if known.other_role and (ending or closes):
        raise Refused(Column.LAST_DAY, Flaw.OTHER_ROLE, known.name)
    if ending and ends_too_early(last, on=on):
        raise Refused(Column.LAST_DAY, Flaw.PAST, last.isoformat())
    ends = (_ended(spell, last, on, Column.LAST_DAY) for spell in ending if spell.until_on != max(last, spell.from_on))
    return {"ends": tuple(ends), "closes": closes}


def joining(change: Change, known: Known | None, wanted: set[int], on: date) -> Joining:
    """Return how somebody comes from the crews of today into those wanted. Raises Refused."""
    spells = [spell for spell in (known.spells if known else ()) if spell.table is Kept.CREW]
    now = known.crews(on) if known else frozenset()
    if wanted == now:
        return {"joins": (), "extends": change.extends, "ends": ()}
    if any(spell.from_on > on for spell in spells):
        raise Refused(Column.CREW, Flaw.PLANNED)
    # A time that ends today goes on: a second one would begin on a day of the first.
    resumed = {spell.what: spell.pk for spell in spells if not spell.goes_past(on)}
    over = [spell for spell in spells if spell.goes_past(on) and spell.what not in wanted]
    fresh = sorted(wanted - now)
    again = tuple((Kept.CREW, resumed[crew]) for crew in fresh if crew in resumed)
    return {
        "joins": tuple(crew for crew in fresh if crew not in resumed),
        "extends": (*change.extends, *again),
        "ends": tuple(_ended(spell, on - ONE_DAY, on, Column.CREW) for spell in over),
    }


def _ended(spell: Spell, last: date, on: date, column: Column) -> tuple[Kept, int, date]:
    """Return the last day of a time: one that began only today has today for it."""
    if spell.from_on > max(last, on):
        raise Refused(column, Flaw.PLANNED)
    return spell.table, spell.pk, max(last, spell.from_on)
