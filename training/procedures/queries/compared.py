"""What differs between two revisions, and what the newer one asks."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from training.people.models import Person
from training.people.rules import local_day
from training.procedures import rules
from training.procedures.models import Revision
from training.procedures.queries.lists import demand_words
from training.procedures.queries.pages import Note, part_words
from training.procedures.queries.texts import figure
from training.procedures.rules import Mark, Refigured, Relisted, Reworded, StepChange


@dataclass(frozen=True, slots=True)
class FigureChange:
    """A working figure that differs: what it was and is, as printed; empty where it was not or is no more."""

    says: str
    older: str
    newer: str


@dataclass(frozen=True, slots=True)
class StepDifference:
    """A step that differs, ready to print; `head` says in words what became of it."""

    slug: str
    head: str
    title: str
    is_there: bool
    texts: tuple[tuple[str, Reworded], ...]
    lists: tuple[tuple[str, Relisted], ...]
    figures: tuple[FigureChange, ...]
    drawing: str
    asks: str


@dataclass(frozen=True, slots=True)
class Compared:
    """What differs between two revisions of a module; `notes` are those of its authors, the newest first."""

    slug: str
    title: str
    language: str
    older: int
    newer: int
    latest: int
    notes: tuple[Note, ...]
    asked: str
    texts: tuple[tuple[str, Reworded], ...]
    lists: tuple[tuple[str, Relisted], ...]
    steps: tuple[StepDifference, ...]
    reordered: bool
    is_empty: bool


def compared(older: Revision, newer: Revision, *, person: Person) -> Compared:
    """Gather the page that shows what differs between two revisions of a module, in one query."""
    zone, found = ZoneInfo(person.employer.zone), rules.difference(older.body, newer.body)
    history = list(newer.module.revisions.order_by("-number").defer("body"))
    parts = part_words()
    return Compared(
        slug=newer.module.slug,
        title=newer.title,
        language=newer.language,
        older=older.number,
        newer=newer.number,
        latest=history[0].number,
        notes=tuple(
            Note(one.number, local_day(one.loaded_at, zone), one.changed)
            for one in history
            if older.number < one.number <= newer.number
        ),
        asked=demand_words(newer),
        texts=tuple((parts[one.part], one) for one in found.texts),
        lists=tuple((parts[one.part], one) for one in found.lists),
        steps=tuple(_step_difference(one) for one in found.steps),
        reordered=found.reordered,
        is_empty=found.is_empty,
    )


def _step_difference(change: StepChange) -> StepDifference:
    heads = {Mark.ADDED: _("Step added"), Mark.REMOVED: _("Step taken out"), Mark.SAME: _("Step changed")}
    drawn = {Mark.ADDED: _("Drawing added"), Mark.REMOVED: _("Drawing taken out"), Mark.SAME: _("Drawing changed")}
    asked = {
        Mark.ADDED: _("Questions added at this hold point"),
        Mark.REMOVED: _("Questions taken out at this hold point"),
        Mark.SAME: _("Other questions at this hold point"),
    }
    parts = _step_words()
    return StepDifference(
        slug=change.slug,
        head=heads[change.mark],
        title=change.title,
        is_there=change.mark is not Mark.REMOVED,
        texts=tuple((parts[one.part], one) for one in change.texts),
        lists=tuple((parts[one.part], one) for one in change.lists),
        figures=tuple(_figure_change(one) for one in change.figures),
        drawing=drawn[change.redrawn] if change.redrawn else "",
        asks=asked[change.asks] if change.asks else "",
    )


def _figure_change(change: Refigured) -> FigureChange:
    older, newer = (_figure_line(one) if one else "" for one in (change.older, change.newer))
    return FigureChange((change.newer or change.older or {})["says"], older, newer)


def _figure_line(one: Mapping[str, Any]) -> str:
    """Return a figure in one line: bound, value, unit and source."""
    made = figure(one)
    value = _("%(low)s to %(high)s") % {"low": made.value, "high": made.value_to} if made.value_to else made.value
    return f"{made.bound} {value} {made.unit} ({made.source})".strip()


def _step_words() -> dict[str, str]:
    return {
        "title": _("Title"),
        "text": _("What is done"),
        "why": _("Why"),
        "caution": _("Caution"),
        "hold": _("Before going on"),
        "tools": _("What is needed"),
    }
