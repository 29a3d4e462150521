"""What the pages of amendments show, and whether a text passes the check of the files."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from django.conf import settings
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _

from training.amendments import rules
from training.amendments.models import Amendment
from training.amendments.rules import Objection, State
from training.content.drawings import DrawingSpec
from training.content.mistakes import ContentErrors
from training.content.procedures import ModuleSpec, read_module
from training.content.written_modules import tables, written_module
from training.people.models import Person
from training.procedures import queries as procedures
from training.procedures.models import DEMAND_WORDS, OVERDUE_WORDS, Revision
from training.procedures.rules import is_fault
from training.quizzes.models import Question


@dataclass(frozen=True, slots=True)
class Check:
    """The module an amendment makes, or every mistake that stands in its way."""

    spec: ModuleSpec | None
    objections: tuple[Objection, ...]


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


@dataclass(frozen=True, slots=True)
class Preview:
    """What the crew would read, what differs from the revision it began from, and the digest of the text."""

    page: procedures.Page
    compared: procedures.Compared
    asked: str
    digest: str


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
        StepLine(step["slug"], step["title"], tuple(one.sentence for one in said.pop(step["slug"], ())))
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
        sentences=tuple(one.sentence for rest in said.values() for one in rest),
        steps=tuple(step for step in steps if not is_fault(step.slug)),
        faults=tuple(step for step in steps if is_fault(step.slug)),
        is_sound=found.spec is not None,
    )


def newest(amendment: Amendment) -> Revision:
    """Return the newest revision of the amended module."""
    return amendment.module.revisions.order_by("-number").defer("body").first()


def drawings(amendment: Amendment) -> list[tuple[str, str]]:
    """Return the drawings a step may show, by name, with their titles."""
    return [(one["name"], one["title"]) for one in amendment.base.body.get("drawings", ())]


def assembled(amendment: Amendment) -> dict[str, Any]:
    """Return the body of the revision an amendment makes."""
    drawn = amendment.base.body.get("drawings", ())
    return rules.assembled(amendment.body, changed=amendment.what_changed, drawings=drawn)


def check(amendment: Amendment) -> Check:
    """Read an amendment as a file is read, and look at what names its steps, and at what it names."""
    body, spec = assembled(amendment), None
    found = list(_elsewhere(amendment))
    try:
        spec = read_module(tables(body), drawings=tuple(_drawing(one) for one in body["drawings"]))
    except ContentErrors as errors:
        found += [_asked(rules.placed(one)) for one in errors.mistakes]
    return Check(None if found else spec, tuple(dict.fromkeys(found)))


def _drawing(drawing: dict[str, Any]) -> DrawingSpec:
    return DrawingSpec(**{**drawing, "labels": tuple(drawing["labels"])})


def _asked(one: Objection) -> Objection:
    """Say what to do on the page, where the reader of files speaks of the file."""
    words = {
        "changed": _("Say what changed and why: it is the first thing the crew reads."),
        "demand": _("Choose what is asked of card holders, or empty the fields below it."),
        "overdue": _("Choose what follows when it is not done in time."),
        "bound": _("Choose how the figure limits: at least, at most, about or between."),
    }
    if (one.step, one.field) == ("", ""):
        return replace(one, sentence=_("Add a step: a procedure has at least one."))
    said = words.get(one.field.rpartition("-")[2])
    return replace(one, sentence=said) if said else one


def _elsewhere(amendment: Amendment) -> Iterator[Objection]:
    slug, kept = amendment.module.slug, {step["slug"] for step in amendment.body["steps"]}
    gone = [step for step in amendment.base.body["steps"] if step["slug"] not in kept]
    named = steps_named() if gone else {}
    for step in gone:
        if users := named.get(f"{slug}.{step['slug']}"):
            words = _(
                "The step “%(title)s” cannot be taken out: it is named by %(users)s. Put it back, or begin again."
            )
            yield Objection("", "", words % {"title": step["title"], "users": ", ".join(users)})
    keys = (amendment.body["revision"] or {}).get("questions", ())
    known = set(Question.objects.filter(key__in=keys, retired_at__isnull=True).values_list("key", flat=True))
    for key in (key for key in keys if key not in known):
        yield Objection("", "questions", _("No question in use has the key “%(key)s”.") % {"key": key})


def steps_named() -> dict[str, list[str]]:
    """Return who names each step, as "module.step": questions in use, and what the settings add to them."""
    found: dict[str, list[str]] = {}
    for question in Question.objects.filter(retired_at__isnull=True).prefetch_related("versions"):
        last = max(question.versions.all(), key=lambda one: one.version, default=None)
        for step in last.body.get("steps", ()) if last else ():
            found.setdefault(step, []).append(_("question %(key)s") % {"key": question.key})
    for path in settings.STEPS_NAMED_BY:
        for step, user in import_string(path)():
            found.setdefault(step, []).append(user)
    return found


def preview(amendment: Amendment, *, person: Person) -> Preview | None:
    """Return what the crew would read, or None where the text has mistakes."""
    spec = check(amendment).spec
    if spec is None:
        return None
    facts = {"title": spec.title, "language": spec.language, "order": spec.order, "changed": spec.changed}
    # Not saved, and under the number it began from, whose drawings it shows.
    shown = Revision(
        module=amendment.module,
        number=amendment.base.number,
        body=spec.as_json(),
        loaded_at=amendment.opened_at,
        **facts,
    )
    return Preview(
        page=procedures.page(shown, person=person),
        compared=procedures.compared(amendment.base, shown, person=person),
        asked=_demand(spec),
        digest=spec.digest,
    )


def _demand(spec: ModuleSpec) -> str:
    """Say what the revision asks of card holders, or nothing; its day comes with the approval."""
    asked = spec.revision
    if asked is None or asked.within_days is None:
        return ""
    words = _("%(demand)s within %(days)d days; after that, %(overdue)s.")
    facts = {"demand": DEMAND_WORDS[asked.demand], "overdue": OVERDUE_WORDS[asked.overdue]}
    return words % {"days": asked.within_days, **facts}


def text(revision: Revision) -> str:
    """Return a revision as the text of its file of content."""
    return written_module(revision.body)
