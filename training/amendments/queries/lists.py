"""The list of procedures with their amendments, and the page of one amendment."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from training.amendments import rules
from training.amendments.models import Amendment
from training.amendments.queries.checks import check, newest
from training.amendments.queries.words import label
from training.amendments.rules import Objection, State
from training.content.written_modules import written_module
from training.people.models import Person
from training.procedures import queries as procedures
from training.procedures.models import Revision
from training.procedures.rules import is_fault


@dataclass(frozen=True, slots=True)
class Line:
    """A module in the list, with its open amendment."""

    slug: str
    title: str
    number: int
    awaits_file: bool
    amendment: Amendment | None
    is_mine: bool


@dataclass(frozen=True, slots=True)
class Index:
    """Modules in use in teaching order, and the amendments decided last."""

    lines: tuple[Line, ...]
    decided: tuple[Amendment, ...]


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step on the page of an amendment, with what is wrong in it."""

    slug: str
    title: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """An amendment: where it stands, its steps and its mistakes. `outrun_by` is the revision that came between."""

    amendment: Amendment
    title: str
    state: State
    is_mine: bool
    may_write: bool
    may_decide: bool
    outrun_by: int | None
    sentences: tuple[str, ...]
    steps: tuple[StepLine, ...]
    faults: tuple[StepLine, ...]
    is_sound: bool


def index(person: Person) -> Index:
    """Return the list: three queries."""
    rows = Amendment.objects.select_related("author", "module", "base", "decided_by", "revision").defer("body")
    held = {one.module_id: one for one in rows.filter(decided_at__isnull=True)}
    return Index(
        lines=tuple(_line(one, held.get(one.module_id), person) for one in procedures.in_force().defer("body")),
        decided=tuple(rows.filter(decided_at__isnull=False).order_by("-decided_at", "-pk")[:20]),
    )


def _line(revision: Revision, held: Amendment | None, person: Person) -> Line:
    return Line(
        slug=revision.module.slug,
        title=revision.title,
        number=revision.number,
        awaits_file=revision.awaits_file,
        amendment=held,
        is_mine=held is not None and held.author_id == person.pk,
    )


def page(amendment: Amendment, *, person: Person) -> Page:
    """Return the page of an amendment."""
    found, mine = check(amendment), amendment.author_id == person.pk
    said, newest_one = rules.by_step(found.objections), newest(amendment)
    steps = [
        StepLine(step["slug"], step["title"], tuple(map(_said, said.pop(step["slug"], ()))))
        for step in amendment.body["steps"]
    ]
    is_open = amendment.decided_at is None
    return Page(
        amendment=amendment,
        title=amendment.body["title"] or amendment.base.title,
        state=amendment.state,
        is_mine=mine,
        may_write=mine and amendment.state is State.WRITING,
        may_decide=not mine and amendment.state is State.PROPOSED,
        outrun_by=newest_one.number if is_open and newest_one != amendment.base else None,
        sentences=tuple(_said(one) for rest in said.values() for one in rest),
        steps=tuple(step for step in steps if not is_fault(step.slug)),
        faults=tuple(step for step in steps if is_fault(step.slug)),
        is_sound=found.spec is not None,
    )


def _said(one: Objection) -> str:
    """Return a sentence after the name of its field."""
    name = label(one.field)
    return _("%(field)s: %(sentence)s") % {"field": name, "sentence": one.sentence} if name else one.sentence


def to_decide(person: Person) -> int:
    """Count the amendments that wait for a second person, apart from this person's own."""
    return Amendment.objects.filter(proposed_at__isnull=False, decided_at=None).exclude(author=person).count()


def text(revision: Revision) -> str:
    """Return a revision as the text of its file of content."""
    return written_module(revision.body)
