"""The jobs there are, and who is away."""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from certs.jobs.models import REASON_WORDS, Absence, Job
from certs.jobs.rules import Reason
from training.people.models import Person


@dataclass(frozen=True, slots=True)
class Row:
    """A job on the list."""

    pk: int
    reference: str
    place: str
    employer: str
    first_on: date
    last_on: date
    crew: str
    bonds: int
    each_day: bool


@dataclass(frozen=True, slots=True)
class Lists:
    """Jobs that run or are to come, and those that are over or closed."""

    ahead: tuple[Row, ...]
    over: tuple[Row, ...]


# Older ones are found by their reference only.
MOST_OVER = 40


def index(jobs: QuerySet[Job], *, on: date) -> Lists:
    """Return the jobs, the nearest first, and the last ones that are over, in two queries."""
    jobs = jobs.select_related("employer", "crew")
    ahead = jobs.filter(closed_at=None, last_on__gte=on).order_by("first_on", "reference")
    over = jobs.exclude(pk__in=ahead.values("pk")).order_by("-last_on", "reference")[:MOST_OVER]
    return Lists(tuple(_row(one) for one in ahead), tuple(_row(one) for one in over))


def _row(job: Job) -> Row:
    return Row(
        pk=job.pk,
        reference=job.reference,
        place=job.place,
        employer=job.employer.name,
        first_on=job.first_on,
        last_on=job.last_on,
        crew=job.crew.name if job.crew else "",
        bonds=job.bonds,
        each_day=job.each_day,
    )


@dataclass(frozen=True, slots=True)
class Spell:
    """Days away of a person."""

    pk: int
    name: str
    employer: str
    reason: str
    from_on: date
    until_on: date


def away(people: QuerySet[Person], *, on: date) -> tuple[Spell, ...]:
    """Return who is away on a day or will be, the nearest first, in one query."""
    rows = Absence.objects.filter(person__in=people, until_on__gte=on).select_related("person__employer")
    return tuple(
        Spell(
            pk=row.pk,
            name=row.person.name,
            employer=row.person.employer.name,
            reason=str(REASON_WORDS[Reason(row.reason)]),
            from_on=row.from_on,
            until_on=row.until_on,
        )
        for row in rows.order_by("from_on", "person__name", "pk")
    )
