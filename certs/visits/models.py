"""Visits that trainers are asked for, and whom each is for."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from certs.schemes.models import Scheme
from certs.visits.rules import Standing, Step
from training.people.models import Employer, Person

STEP_WORDS = {Step.PAPER: _("sits the paper"), Step.PRACTICAL: _("shows the practical")}
STANDING_WORDS = {
    Standing.ASKED: _("Asked, no answer yet"),
    Standing.ACCEPTED: _("Accepted"),
    Standing.DECLINED: _("Declined"),
    Standing.CALLED_OFF: _("Called off"),
    Standing.DONE: _("Done"),
    Standing.OVER: _("Over, not all done"),
}


class Visit(models.Model):
    """A trainer is asked to come to a place on a day; whether it was done is told by the records, never stored."""

    employer = models.ForeignKey(Employer, models.PROTECT, related_name="visits")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="visits")
    trainer = models.ForeignKey(Person, models.PROTECT, related_name="visits_asked_of")
    on = models.DateField(_("day"))
    place = models.CharField(_("place"), max_length=120)
    asked_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    accepted = models.BooleanField(null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(_("why not"), max_length=200, blank=True)
    called_off_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(accepted__isnull=True, answered_at__isnull=True, reason="")
                | Q(accepted=True, answered_at__isnull=False, reason="")
                | (Q(accepted=False, answered_at__isnull=False) & ~Q(reason="")),
                name="certs_visit_declined_with_reason",
                violation_error_message=_("Say why you decline, so that another day can be found."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["trainer", "on"]), models.Index(fields=["employer", "on"])]

    def __str__(self) -> str:
        return f"{self.trainer_id} at {self.employer_id} on {self.on}"


class VisitRefusal(models.Model):
    """A trainer could not come, before the visit was offered to another one."""

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="refusals")
    trainer = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.CharField(_("why not"), max_length=200)
    answered_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["visit", "trainer"],
                name="certs_visitrefusal_once",
                violation_error_message=_("This trainer has declined this visit already. Choose another."),
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="certs_visitrefusal_with_reason",
                violation_error_message=_("Say why the trainer does not come."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit_id} {self.trainer_id}"


class VisitStep(models.Model):
    """What one person does at a visit."""

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="steps")
    person = models.ForeignKey(Person, models.PROTECT, related_name="visit_steps")
    step = models.CharField(max_length=9, choices=[(step.value, words) for step, words in STEP_WORDS.items()])

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["visit", "person", "step"],
                name="certs_visitstep_once",
                violation_error_message=_("This person already does that at this visit."),
            ),
            models.CheckConstraint(
                condition=Q(step__in=[step.value for step in Step]),
                name="certs_visitstep_known",
                violation_error_message=_("At a visit a person sits the paper or shows the practical."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.visit_id} {self.person_id} {self.step}"
