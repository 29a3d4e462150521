"""A module as one reader meets it."""

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import F
from django.utils.translation import gettext as _

from training.content.demands import Demand
from training.people.models import Person
from training.people.rules import local_day
from training.procedures import rules
from training.procedures.models import Module, Reading, Revision
from training.procedures.queries.holds import NO_HOLDS, HoldPoints, hold_points
from training.procedures.queries.lists import demand_words, number_read
from training.procedures.queries.texts import Text, told
from training.procedures.rules import Changes, Standing


@dataclass(frozen=True, slots=True)
class Note:
    """What its author said about a revision, and the day it came into force here."""

    number: int
    loaded_on: date
    changed: str


@dataclass(frozen=True, slots=True)
class Page(Text):
    """A module as a reader meets it."""

    standing: Standing
    read_on: date | None
    last_read: int | None
    asked: str
    has_questions: bool
    changes: Changes | None
    changed_parts: tuple[str, ...]
    news: tuple[Note, ...]
    notes: tuple[Note, ...]
    holds: HoldPoints

    @property
    def is_read(self) -> bool:
        """Whether the reader has read the revision in force."""
        return self.standing is Standing.READ

    @property
    def is_changed(self) -> bool:
        """Whether the reader has read an older revision, but not the one in force."""
        return self.standing is Standing.CHANGED

    @property
    def can_be_read(self) -> bool:
        """Whether a reading of this page would count for the work."""
        return not self.is_superseded and not self.is_retired


def page(revision: Revision, *, person: Person) -> Page:
    """Gather a module's page for one reader, in at most five queries."""
    zone, body = ZoneInfo(person.employer.zone), revision.body
    history = list(revision.module.revisions.order_by("-number").defer("body"))
    reading = _last_reading(person, revision.module)
    last_read, latest = number_read(reading), history[0].number
    shown_is_newer = last_read is not None and last_read < revision.number
    compared = rules.changes(reading.revision.body, body) if reading and shown_is_newer else None
    notes = tuple(Note(one.number, local_day(one.loaded_at, zone), one.changed) for one in history)
    return Page(
        **told(revision, latest=latest),
        standing=rules.standing(latest=latest, last_read=last_read),
        read_on=local_day(reading.read_at, zone) if reading else None,
        last_read=last_read,
        asked=demand_words(revision),
        has_questions=revision.demand == Demand.ANSWER,
        changes=compared,
        changed_parts=tuple(part_words()[part] for part in compared.parts) if compared else (),
        news=tuple(note for note in notes if shown_is_newer and (last_read or 0) < note.number <= revision.number),
        notes=notes,
        holds=hold_points(revision, person=person) if revision.number == latest else NO_HOLDS,
    )


def _last_reading(person: Person, module: Module) -> Reading | None:
    readings = Reading.objects.filter(person=person, revision__module=module).select_related("revision")
    return readings.order_by(F("revision__number").desc()).first()


def part_words() -> dict[str, str]:
    """Return the names of a module's parts, in the reader's language."""
    return {
        "title": _("the title"),
        "purpose": _("what it is for"),
        "tools": _("the kit needed"),
        "stops": _("what stops the job"),
        "field_limit": _("the limits of field repair"),
        "sources": _("the sources"),
    }
