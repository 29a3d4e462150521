"""Whether a text passes the check of the files, and of what names its steps or is named by it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.conf import settings
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _

from training.amendments import rules
from training.amendments.models import Amendment
from training.amendments.rules import Objection
from training.bank import queries as bank
from training.bank.models import Question
from training.content.drawings import DrawingSpec
from training.content.links import unaskable
from training.content.mistakes import ContentErrors
from training.content.procedures import ModuleSpec, read_module
from training.content.typed import sentence
from training.content.written_modules import tables
from training.procedures.models import Revision
from training.questions.pools import Pool, pool_of


@dataclass(frozen=True, slots=True)
class Check:
    """The module an amendment makes, or every mistake that stands in its way."""

    spec: ModuleSpec | None
    objections: tuple[Objection, ...]


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
    asked = [(step["slug"], key) for step in body["steps"] for key in step.get("ask", ())]
    known = _bank([key for _step, key in asked])
    found += [Objection(step, "ask", sentence(why)) for step, why in unaskable(asked, body["language"], known)]
    return Check(None if found else spec, tuple(dict.fromkeys(found)))


def _bank(keys: Sequence[str]) -> dict[str, tuple[Pool, str]]:
    """Return the pool and the language of each of these questions that is in use, by key."""
    versions = bank.newest(keys)
    return {key: (pool_of(one.body), one.body["language"]) for key, one in versions.items()}


def _drawing(drawing: dict[str, Any]) -> DrawingSpec:
    return DrawingSpec(**{**drawing, "labels": tuple(drawing["labels"])})


def _asked(one: Objection) -> Objection:
    """Say what to do on the page, where the reader of files speaks of the file."""
    words = {
        "changed": _("Say it in a sentence or two: the crew reads it first."),
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
