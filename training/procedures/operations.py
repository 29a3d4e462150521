"""Loading revisions, and recording that somebody read one."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from training.content.procedures import ModuleSpec
from training.content.tally import Tally
from training.ledger.operations import write
from training.people.models import Person
from training.procedures.models import Module, Reading, Revision


class Superseded(Exception):
    """The revision is no longer the one in force, so reading it does not count for the work."""


class Withdrawn(Exception):
    """The module is no longer in use."""


@transaction.atomic
def load(specs: Iterable[ModuleSpec], *, at: datetime) -> Tally:
    """Bring the modules in line with the files: a changed text becomes a new revision, a missing one is retired."""
    specs = list(specs)
    tally = sum((_load_one(spec, at=at) for spec in specs), Tally())
    gone = Module.objects.filter(retired_at=None).exclude(slug__in=[spec.slug for spec in specs])
    return tally + Tally(retired=gone.update(retired_at=at))


def _load_one(spec: ModuleSpec, *, at: datetime) -> Tally:
    module, is_new = Module.objects.get_or_create(slug=spec.slug)
    latest = module.revisions.order_by("-number").first()
    same = latest is not None and latest.digest == spec.digest
    if same and module.retired_at is None:
        return Tally(unchanged=1)
    if module.retired_at is not None:
        module.retired_at = None
        module.save(update_fields=["retired_at"])
    if not same:
        _add_revision(module, spec, number=latest.number + 1 if latest else 1, at=at)
    return Tally(new=1) if is_new else Tally(revised=1)


def _add_revision(module: Module, spec: ModuleSpec, *, number: int, at: datetime) -> None:
    module.revisions.create(
        number=number,
        language=spec.language,
        title=spec.title,
        order=spec.order,
        body=spec.as_json(),
        digest=spec.digest,
        changed=spec.changed,
        loaded_at=at,
    )


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
