"""Jobs as they are asked for, the holders they want, and the days people are away."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.jobs.rules import Reason
from certs.schemes.models import Scheme
from training.people.models import Crew, Employer, Person

REASON_WORDS = {
    Reason.LEAVE: _("leave"),
    Reason.COURSE: _("course"),
    Reason.ILLNESS: _("illness"),
}


class Job(models.Model):
    """Work of an employer at a place; who may do it is computed for each day, never stored."""

    employer = models.ForeignKey(Employer, models.PROTECT, related_name="jobs")
    reference = models.CharField(_("reference"), max_length=40)
    place = models.CharField(_("place"), max_length=120)
    first_on = models.DateField(_("first day"))
    last_on = models.DateField(_("last day"))
    bonds = models.PositiveSmallIntegerField(_("bonds to make"))
    each_day = models.BooleanField(_("so many on each day"), default=False)
    crew = models.ForeignKey(Crew, models.PROTECT, null=True, blank=True, related_name="jobs")
    cold = models.BooleanField(_("in the cold"), default=False)
    night = models.BooleanField(_("at night"), default=False)
    cover = models.BooleanField(_("a supervisor has to be there"), default=False)
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["employer", "reference"],
                name="certs_job_reference_once",
                violation_error_message=_("This employer already has a job of that reference. Give another one."),
            ),
            models.CheckConstraint(
                condition=Q(last_on__gte=F("first_on")),
                name="certs_job_ends_after_it_starts",
                violation_error_message=_("Give a last day that is not before the first."),
            ),
            models.CheckConstraint(
                condition=Q(bonds__gt=0),
                name="certs_job_makes_bonds",
                violation_error_message=_("A job has at least one bond to make."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["employer", "last_on"])]

    def __str__(self) -> str:
        return self.reference


class JobWant(models.Model):
    """How many holders of cards of a scheme a job wants on each of its days."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="wants")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="+")
    holders = models.PositiveSmallIntegerField(_("holders wanted"))

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["job", "scheme"],
                name="certs_jobwant_once",
                violation_error_message=_("This job already says how many holders of that scheme it wants."),
            ),
            models.CheckConstraint(
                condition=Q(holders__gt=0),
                name="certs_jobwant_somebody",
                violation_error_message=_("Want at least one holder, or leave the scheme out."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job_id} {self.scheme_id}"


class Absence(models.Model):
    """Days on which a person cannot be sent out. The kind is all that is kept of why."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="absences")
    reason = models.CharField(_("why"), max_length=8, choices=[(r.value, w) for r, w in REASON_WORDS.items()])
    from_on = models.DateField(_("first day away"))
    until_on = models.DateField(_("last day away"))
    entered_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(until_on__gte=F("from_on")),
                name="certs_absence_ends_after_it_starts",
                violation_error_message=_("Give a last day that is not before the first."),
            ),
            models.CheckConstraint(
                condition=Q(reason__in=[reason.value for reason in Reason]),
                name="certs_absence_known_reason",
                violation_error_message=_("Choose one of the reasons in the list."),
            ),
            models.UniqueConstraint(
                fields=["person", "from_on"],
                name="certs_absence_once_a_day",
                violation_error_message=_("This person is already away from that day."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["person", "until_on"])]

    def __str__(self) -> str:
        return f"{self.person_id} away from {self.from_on}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Everything that is typed about a job."""

    employer: Employer
    reference: str
    place: str
    first_on: date
    last_on: date
    bonds: int
    each_day: bool
    crew: Crew | None
    cold: bool
    night: bool
    cover: bool
    wants: Mapping[Scheme, int]
