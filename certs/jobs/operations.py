"""Keeping jobs and the days that people are away."""

from collections.abc import Iterable
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from certs.jobs.models import Absence, Facts, Job, JobWant
from certs.jobs.rules import Reason
from training.people.models import Person


class JobRefused(ValueError):
    """The job is not kept as typed; the message is a sentence."""


class AbsenceRefused(ValueError):
    """The days away are not kept as typed; the message is a sentence."""


@transaction.atomic
def add(*, facts: Facts, by: Person, at: datetime) -> Job:
    """Keep a new job. Raises JobRefused."""
    return _kept(Job(made_by=by, made_at=at), facts)


@transaction.atomic
def bring_in(*, jobs: Iterable[Facts], by: Person, at: datetime) -> list[Job]:
    """Keep all of these jobs, or none. Raises JobRefused."""
    return [_kept(Job(made_by=by, made_at=at), facts) for facts in jobs]


@transaction.atomic
def change(*, job: Job, facts: Facts) -> Job:
    """Keep a job as it is typed now. Raises JobRefused."""
    return _kept(Job.objects.select_for_update().get(pk=job.pk), facts)


@transaction.atomic
def close(*, job: Job, at: datetime) -> None:
    """Take a job off the list: done, or called off. It stays on record."""
    Job.objects.filter(pk=job.pk, closed_at=None).update(closed_at=at)


@transaction.atomic
def reopen(*, job: Job) -> None:
    """Put a closed job back on the list."""
    Job.objects.filter(pk=job.pk).update(closed_at=None)


@transaction.atomic
def go_away(*, person: Person, reason: Reason, from_on: date, until_on: date, by: Person, at: datetime) -> Absence:
    """Keep days on which a person is away. Raises AbsenceRefused for days that are kept already."""
    # Two who type at once wait for one another here.
    Person.objects.select_for_update().get(pk=person.pk)
    if person.absences.filter(from_on__lte=until_on, until_on__gte=from_on).exists():
        raise AbsenceRefused(_("This person is already away on some of these days. Take that entry out first."))
    return Absence.objects.create(
        person=person, reason=reason, from_on=from_on, until_on=until_on, entered_by=by, entered_at=at
    )


@transaction.atomic
def come_back(*, absence: Absence) -> None:
    """Take days away out: the person can be sent out again."""
    Absence.objects.filter(pk=absence.pk).delete()


def _kept(job: Job, facts: Facts) -> Job:
    for name in ("employer", "reference", "place", "first_on", "last_on", "bonds", "each_day"):
        setattr(job, name, getattr(facts, name))
    for name in ("crew", "cold", "night", "cover"):
        setattr(job, name, getattr(facts, name))
    try:
        job.full_clean()
        with transaction.atomic():
            job.save()
    except ValidationError as refusal:
        raise JobRefused(" ".join(refusal.messages)) from None
    except IntegrityError:
        # Somebody else was quicker between the check and the save.
        raise JobRefused(_("This employer already has a job of that reference. Give another one.")) from None
    job.wants.all().delete()
    JobWant.objects.bulk_create(JobWant(job=job, scheme=scheme, holders=many) for scheme, many in facts.wants.items())
    return job
