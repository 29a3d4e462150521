"""Reading modules for their pages."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F, OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _

from training.people.models import Person
from training.people.rules import local_day
from training.procedures import rules
from training.procedures.models import Module, Reading, Revision
from training.procedures.rules import Changes, Standing
from training.questions.units import unit


@dataclass(frozen=True, slots=True)
class Line:
    """One module in the list, and where the reader stands with it."""

    slug: str
    title: str
    purpose: str
    number: int
    standing: Standing
    read_on: date | None

    @property
    def is_read(self) -> bool:
        """Whether the revision in force has been read."""
        return self.standing is Standing.READ

    @property
    def is_changed(self) -> bool:
        """Whether an older revision has been read, but not the one in force."""
        return self.standing is Standing.CHANGED


@dataclass(frozen=True, slots=True)
class Figure:
    """A working figure, ready to print."""

    says: str
    bound: str
    value: str
    value_to: str
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing and its words; `width` and `height` are in its own units, `labels` in the order of its markers."""

    name: str
    title: str
    description: str
    labels: tuple[str, ...]
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Step:
    """One step, ready to print; `slug` is its anchor."""

    slug: str
    title: str
    text: str
    why: str
    caution: str
    hold: str
    tools: tuple[str, ...]
    figures: tuple[Figure, ...]
    drawing: Drawing | None


@dataclass(frozen=True, slots=True)
class Note:
    """What its author said about a revision, and the day it came into force here."""

    number: int
    loaded_on: date
    changed: str


@dataclass(frozen=True, slots=True)
class Page:
    """A module as a reader meets it."""

    slug: str
    title: str
    language: str
    purpose: str
    number: int
    latest: int
    is_retired: bool
    standing: Standing
    read_on: date | None
    last_read: int | None
    changes: Changes | None
    changed_parts: tuple[str, ...]
    news: tuple[Note, ...]
    notes: tuple[Note, ...]
    tools: tuple[str, ...]
    stops: tuple[str, ...]
    steps: tuple[Step, ...]
    faults: tuple[Step, ...]
    field_limit: tuple[str, ...]
    sources: tuple[str, ...]

    @property
    def is_superseded(self) -> bool:
        """Whether a newer revision is in force."""
        return self.number < self.latest

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


def in_force() -> QuerySet[Revision]:
    """Return the newest revision of each module in use, in teaching order."""
    newest = Revision.objects.filter(module=OuterRef("module")).order_by("-number").values("pk")[:1]
    return (
        Revision.objects.filter(module__retired_at=None, pk=Subquery(newest))
        .select_related("module")
        .order_by("order", "module__slug")
    )


def _last_readings(person: Person) -> dict[int, Reading]:
    """Return the reading of the newest revision this person has read, by module."""
    readings = Reading.objects.filter(person=person).select_related("revision").order_by("revision__number")
    return {reading.revision.module_id: reading for reading in readings.defer("revision__body")}


def index(person: Person) -> list[Line]:
    """List the modules in use for one reader, in two queries."""
    last, zone = _last_readings(person), ZoneInfo(person.employer.zone)
    return [_line(revision, last.get(revision.module_id), zone) for revision in in_force()]


def _line(revision: Revision, reading: Reading | None, zone: ZoneInfo) -> Line:
    return Line(
        slug=revision.module.slug,
        title=revision.title,
        purpose=revision.body["purpose"],
        number=revision.number,
        standing=rules.standing(latest=revision.number, last_read=_number(reading)),
        read_on=local_day(reading.read_at, zone) if reading else None,
    )


def _number(reading: Reading | None) -> int | None:
    return reading.revision.number if reading else None


def unread(person: Person, slugs: Iterable[str]) -> list[tuple[str, str, str]]:
    """Return (slug, title, why) of each named module whose revision in force this person has not read."""
    last = _last_readings(person)
    found = []
    for revision in in_force().filter(module__slug__in=list(slugs)).defer("body"):
        reading = last.get(revision.module_id)
        state = rules.standing(latest=revision.number, last_read=_number(reading))
        if state is not Standing.READ:
            found.append((revision.module.slug, revision.title, standing_words(state)))
    return found


def standing_words(state: Standing) -> str:
    """Return a standing in the reader's language."""
    words = {
        Standing.READ: _("read"),
        Standing.UNREAD: _("to read"),
        Standing.CHANGED: _("changed since you read it"),
    }
    return words[state]


def page(revision: Revision, *, person: Person) -> Page:
    """Gather a module's page for one reader, in at most three queries."""
    zone, body = ZoneInfo(person.employer.zone), revision.body
    history = list(revision.module.revisions.order_by("-number").defer("body"))
    reading = _last_reading(person, revision.module)
    last_read, latest = _number(reading), history[0].number
    shown_is_newer = last_read is not None and last_read < revision.number
    compared = rules.changes(reading.revision.body, body) if reading and shown_is_newer else None
    notes = tuple(Note(one.number, local_day(one.loaded_at, zone), one.changed) for one in history)
    drawings = rules.drawings(body)
    steps = [_step(step, drawings.get(step["drawing"])) for step in body["steps"]]
    return Page(
        slug=revision.module.slug,
        title=revision.title,
        language=revision.language,
        purpose=body["purpose"],
        number=revision.number,
        latest=latest,
        is_retired=revision.module.retired_at is not None,
        standing=rules.standing(latest=latest, last_read=last_read),
        read_on=local_day(reading.read_at, zone) if reading else None,
        last_read=last_read,
        changes=compared,
        changed_parts=tuple(_part_words()[part] for part in compared.parts) if compared else (),
        news=tuple(note for note in notes if shown_is_newer and (last_read or 0) < note.number <= revision.number),
        notes=notes,
        tools=tuple(body["tools"]),
        stops=tuple(body["stops"]),
        steps=tuple(step for step in steps if not rules.is_fault(step.slug)),
        faults=tuple(step for step in steps if rules.is_fault(step.slug)),
        field_limit=tuple(body["field_limit"]),
        sources=tuple(body["sources"]),
    )


def _last_reading(person: Person, module: Module) -> Reading | None:
    readings = Reading.objects.filter(person=person, revision__module=module).select_related("revision")
    return readings.order_by(F("revision__number").desc()).first()


def _step(step: Mapping[str, Any], drawing: Mapping[str, Any] | None) -> Step:
    return Step(
        slug=step["slug"],
        title=step["title"],
        text=step["text"],
        why=step["why"],
        caution=step["caution"],
        hold=step["hold"],
        tools=tuple(step["tools"]),
        figures=tuple(_figure(figure) for figure in step["figures"]),
        drawing=_drawing(drawing) if drawing else None,
    )


def _drawing(drawing: Mapping[str, Any]) -> Drawing:
    return Drawing(
        name=drawing["name"],
        title=_(drawing["title"]),
        description=_(drawing["description"]),
        labels=tuple(_(label) for label in drawing["labels"]),
        width=drawing["width"],
        height=drawing["height"],
    )


def _figure(figure: Mapping[str, Any]) -> Figure:
    bounds = {"at least": _("at least"), "at most": _("at most"), "about": _("about")}
    return Figure(
        says=figure["says"],
        # Two values joined by "to" say "between" already.
        bound=bounds.get(figure["bound"], ""),
        value=figure["value"],
        value_to=figure["value_to"],
        unit=unit(figure["unit"]).symbol,
        source=figure["source"],
    )


def _part_words() -> dict[str, str]:
    return {
        "title": _("the title"),
        "purpose": _("what it is for"),
        "tools": _("the kit needed"),
        "stops": _("what stops the job"),
        "field_limit": _("the limits of field repair"),
        "sources": _("the sources"),
    }
