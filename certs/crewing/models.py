"""Plans of who goes to which job on which day: proposed, changed by hand, accepted."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.jobs.models import Job
from training.people.models import Employer, Person


class Plan(models.Model):
    """A plan for the jobs of an employer. It is made when every step is done; how far it is is counted in `steps`.

    `mark` is the mark of everything it was made from, `blocked` says of a place left open which rules alone block it.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    employer = models.ForeignKey(Employer, models.PROTECT, related_name="plans")
    first_on = models.DateField(_("first day"))
    last_on = models.DateField(_("last day"))
    mark = models.CharField(max_length=64)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    steps = models.PositiveSmallIntegerField(default=0)
    of = models.PositiveSmallIntegerField()
    proven = models.BooleanField(default=True)
    hurried = models.BooleanField(default=False)
    blocked = models.JSONField(default=dict)
    stopped_at = models.DateTimeField(null=True, blank=True)
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(last_on__gte=F("first_on")),
                name="certs_plan_ends_after_it_starts",
                violation_error_message=_("Give a last day that is not before the first."),
            ),
            models.CheckConstraint(
                condition=Q(steps__lte=F("of")),
                name="certs_plan_no_more_steps",
                violation_error_message=_("A plan takes no more steps than it has."),
            ),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True, accepted_by__isnull=True)
                | Q(accepted_at__isnull=False, accepted_by__isnull=False, steps=F("of")),
                name="certs_plan_accepted_when_made",
                violation_error_message=_("A plan is accepted by somebody, and only once it is made."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["employer", "first_on"])]

    def __str__(self) -> str:
        return str(self.id)

    @property
    def is_made(self) -> bool:
        """Whether every step is done."""
        return self.steps == self.of


class PlanTurn(models.Model):
    """A person fills a place of a job on a day; without a scheme, the supervisor's."""

    plan = models.ForeignKey(Plan, models.CASCADE, related_name="turns")
    on = models.DateField()
    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    scheme = models.SlugField(blank=True)
    person = models.ForeignKey(Person, models.PROTECT, related_name="+")
    by_hand = models.BooleanField(default=False)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["plan", "on", "person"],
                name="certs_planturn_one_a_day",
                violation_error_message=_("This person has another place that day. One place a day."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.plan_id} {self.on}"
