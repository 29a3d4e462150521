"""Reading modules for their pages."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F, OuterRef, QuerySet, Subquery
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from training.content.demands import Demand, Overdue
from training.people.models import Person
from training.people.rules import local_day
from training.procedures import rules
from training.procedures.models import Module, Reading, Revision
from training.procedures.rules import Changes, Mark, Refigured, Relisted, Reworded, Standing, StepChange
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
    parts = _part_words()
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


def demand_words(revision: Revision) -> str:
    """Say what a revision asks of card holders, or nothing where it asks nothing."""
    if revision.due_on is None:
        return ""
    words = {
        (Demand.READ, Overdue.DUE): _(
            "Card holders read it by %(day)s. After that their cards are due until they have."
        ),
        (Demand.READ, Overdue.STOPS): _(
            "Card holders read it by %(day)s. After that their cards stop until they have."
        ),
        (Demand.ANSWER, Overdue.DUE): _(
            "Card holders read it and answer its questions by %(day)s. After that their cards are due until they have."
        ),
        (Demand.ANSWER, Overdue.STOPS): _(
            "Card holders read it and answer its questions by %(day)s. After that their cards stop until they have."
        ),
    }
    said = words[Demand(revision.demand), Overdue(revision.overdue)]
    return said % {"day": date_format(revision.due_on)}


def _step_difference(change: StepChange) -> StepDifference:
    heads = {Mark.ADDED: _("Step added"), Mark.REMOVED: _("Step taken out"), Mark.SAME: _("Step changed")}
    drawn = {Mark.ADDED: _("Drawing added"), Mark.REMOVED: _("Drawing taken out"), Mark.SAME: _("Drawing changed")}
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
    )


def _figure_change(change: Refigured) -> FigureChange:
    older, newer = (_figure_line(one) if one else "" for one in (change.older, change.newer))
    return FigureChange((change.newer or change.older or {})["says"], older, newer)


def _figure_line(figure: Mapping[str, Any]) -> str:
    """Return a figure in one line: bound, value, unit and source."""
    made = _figure(figure)
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
