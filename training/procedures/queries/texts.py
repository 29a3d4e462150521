"""What a revision says, the same for every reader."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date
from typing import Any

from django.utils.translation import gettext as _

from training.people.rules import local_day
from training.procedures import rules
from training.procedures.models import Revision
from training.questions.units import unit


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
    """One step, ready to print; `slug` is its anchor. A fault's text is also there as `rows` of a table."""

    slug: str
    title: str
    text: str
    rows: tuple[tuple[str, str], ...]
    why: str
    caution: str
    hold: str
    tools: tuple[str, ...]
    figures: tuple[Figure, ...]
    drawing: Drawing | None


@dataclass(frozen=True, slots=True)
class Text:
    """All that a revision says. `issued_on` is its day in UTC, so that it reads the same in every time zone.

    `latest` is the number of the revision in force.
    """

    slug: str
    title: str
    language: str
    purpose: str
    number: int
    issued_on: date
    latest: int
    is_retired: bool
    changed: str
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


def text(revision: Revision) -> Text:
    """Gather what a revision says and whether it holds, in one query."""
    return Text(**told(revision, latest=max(revision.module.revisions.values_list("number", flat=True))))


def told(revision: Revision, *, latest: int) -> dict[str, Any]:
    """Return the fields of Text for a revision, without a query."""
    body, drawings = revision.body, rules.drawings(revision.body)
    steps = [_step(step, drawings.get(step["drawing"])) for step in body["steps"]]
    return {
        "slug": revision.module.slug,
        "title": revision.title,
        "language": revision.language,
        "purpose": body["purpose"],
        "number": revision.number,
        "issued_on": local_day(revision.loaded_at, UTC),
        "latest": latest,
        "is_retired": revision.module.retired_at is not None,
        "changed": revision.changed,
        "tools": tuple(body["tools"]),
        "stops": tuple(body["stops"]),
        "steps": tuple(step for step in steps if not rules.is_fault(step.slug)),
        "faults": tuple(step for step in steps if rules.is_fault(step.slug)),
        "field_limit": tuple(body["field_limit"]),
        "sources": tuple(body["sources"]),
    }


def _step(step: Mapping[str, Any], drawing: Mapping[str, Any] | None) -> Step:
    return Step(
        slug=step["slug"],
        title=step["title"],
        text=step["text"],
        rows=rules.fault_rows(step["text"]) if rules.is_fault(step["slug"]) else (),
        why=step["why"],
        caution=step["caution"],
        hold=step["hold"],
        tools=tuple(step["tools"]),
        figures=tuple(figure(one) for one in step["figures"]),
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


def figure(one: Mapping[str, Any]) -> Figure:
    """Return a working figure of a body, ready to print."""
    bounds = {"at least": _("at least"), "at most": _("at most"), "about": _("about")}
    return Figure(
        says=one["says"],
        # Two values joined by "to" say "between" already.
        bound=bounds.get(one["bound"], ""),
        value=one["value"],
        value_to=one["value_to"],
        unit=unit(one["unit"]).symbol,
        source=one["source"],
    )
