"""Loading revisions, and recording that somebody read one."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction

from training.content.demands import DemandSpec
from training.content.mistakes import ContentErrors, Mistake
from training.content.procedures import ModuleSpec
from training.content.tally import Tally
from training.ledger.operations import write
from training.people.models import Person
from training.procedures import rules
from training.procedures.models import Module, Reading, Revision


class Superseded(Exception):
    """The revision is no longer the one in force, so reading it does not count for the work."""


class Withdrawn(Exception):
    """The module is no longer in use."""


@transaction.atomic
def load(specs: Iterable[ModuleSpec], *, at: datetime) -> Tally:
    """Bring the modules in line with the files: a changed text becomes a new revision, a missing one is retired.

    Raises ContentErrors, loading nothing, where the files do not hold what was revised on the site.
    """
    specs, refused = list(specs), list[Mistake]()
    tally = sum((_load_one(spec, refused, at=at) for spec in specs), Tally())
    if refused:
        raise ContentErrors(refused)
    gone = Module.objects.filter(retired_at=None).exclude(slug__in=[spec.slug for spec in specs])
    return tally + Tally(retired=gone.update(retired_at=at))


def _load_one(spec: ModuleSpec, refused: list[Mistake], *, at: datetime) -> Tally:
    module, is_new = Module.objects.select_for_update(no_key=True).get_or_create(slug=spec.slug)
    latest = module.revisions.order_by("-number").first()
    if latest is not None and latest.awaits_file:
        if not rules.same_text(latest.body, spec.as_json()):
            reason = f"was revised on the site as revision {latest.number}: write it out to the file first"
            refused.append(Mistake(f"{spec.slug}/procedure.toml", spec.slug, reason))
            return Tally()
        latest.awaits_file = False
        latest.save(update_fields=["awaits_file"])
    same = latest is not None and latest.digest == spec.digest
    if same and module.retired_at is None:
        return Tally(unchanged=1)
    if module.retired_at is not None:
        module.retired_at = None
        module.save(update_fields=["retired_at"])
    if not same:
        _add_revision(module, spec, number=latest.number + 1 if latest else 1, at=at)
    return Tally(new=1) if is_new else Tally(revised=1)


@transaction.atomic
def revise(*, base: Revision, spec: ModuleSpec, at: datetime) -> Revision:
    """Put a revision that was written on the site in force after `base`. Raises Superseded or Withdrawn."""
    module = Module.objects.select_for_update(no_key=True).get(pk=base.module_id)
    if module.retired_at is not None:
        raise Withdrawn
    if module.revisions.filter(number__gt=base.number).exists():
        raise Superseded
    return _add_revision(module, spec, number=base.number + 1, at=at, awaits_file=True)


def _add_revision(
    module: Module, spec: ModuleSpec, *, number: int, at: datetime, awaits_file: bool = False
) -> Revision:
    return module.revisions.create(
        number=number,
        language=spec.language,
        title=spec.title,
        order=spec.order,
        body=spec.as_json(),
        digest=spec.digest,
        changed=spec.changed,
        loaded_at=at,
        awaits_file=awaits_file,
        # Whoever meets a module for the first time reads all of it anyway.
        **(_asked(spec.revision, at=at) if spec.revision and number > 1 else {}),
    )


def _asked(spec: DemandSpec, *, at: datetime) -> dict[str, Any]:
    """Return the columns of a demand; its last day is frozen with the text."""
    if spec.within_days is None:
        return {}
    due_on = rules.due_on(at, within_days=spec.within_days)
    return {"demand": spec.demand, "due_on": due_on, "overdue": spec.overdue, "questions": list(spec.questions)}


@transaction.atomic
def record_reading(*, person: Person, revision: Revision, at: datetime) -> Reading:
    """Record that a person read the revision in force; a second time changes nothing."""
    if revision.module.retired_at is not None:
        raise Withdrawn
    if revision.module.revisions.filter(number__gt=revision.number).exists():
        raise Superseded
    reading, is_new = Reading.objects.get_or_create(person=person, revision=revision, defaults={"read_at": at})
    if is_new:
        write(by=person.pk, act="procedure read", about={"revision": revision.pk}, at=at)
    return reading
