"""What happened to a card after it was issued."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.cards.rules import Step
from training.people.models import Person

STEP_WORDS = {
    Step.SUSPENDED: _("suspended"),
    Step.REINSTATED: _("reinstated"),
    Step.WITHDRAWN: _("withdrawn"),
    Step.REPLACED: _("replaced"),
}


class Measure(models.Model):
    """A dated, reasoned act on a card by a named person."""

    card = models.ForeignKey("certs.Card", models.PROTECT, related_name="measures")
    step = models.CharField(max_length=12, choices=[(s.value, w) for s, w in STEP_WORDS.items()])
    on = models.DateField(_("takes effect on"))
    at = models.DateTimeField()
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.TextField(_("reason"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(step__in=[step.value for step in Step]),
                name="certs_measure_known_step",
                violation_error_message=_("Choose one of the measures in the list."),
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="certs_measure_has_reason",
                violation_error_message=_("Write the reason: it stays on the record."),
            ),
        ]
        # Asked of each card of a list, and of a standing that few cards have.
        indexes: ClassVar = [models.Index(fields=["step", "card", "on"], name="certs_measure_of_step")]

    def __str__(self) -> str:
        return f"{self.card_id} {self.step} {self.on}"


class Confirmation(models.Model):
    """A supervisor's confirmation that the holder has been doing the work."""

    card = models.ForeignKey("certs.Card", models.PROTECT, related_name="confirmations")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    on = models.DateField(_("day of confirmation"))
    entered_on = models.DateField()
    entered_at = models.DateTimeField()
    due_on = models.DateField(help_text=_("the due day that this confirmation answered"))
    next_due_on = models.DateField(help_text=_("the due day that follows from this one"))
    shots = models.PositiveIntegerField(_("bonds made since the last confirmation"))
    evidence = models.TextField(_("evidence, such as job numbers"))
    doubts = models.BooleanField(_("there is doubt about this person's skill"), default=False)

    class Meta:
        constraints: ClassVar = [
            # Back-dating would mend a lapse after the fact, so the day is the day of entry.
            models.CheckConstraint(
                condition=Q(on=F("entered_on")),
                name="certs_confirmation_not_back_dated",
                violation_error_message=_("A confirmation counts from the day it is entered."),
            ),
            models.CheckConstraint(
                condition=~Q(evidence=""),
                name="certs_confirmation_has_evidence",
                violation_error_message=_("Name the evidence, such as job numbers."),
            ),
        ]
        # Asked of each card of a list: up to when is work confirmed? All that is needed to tell stands in it.
        indexes: ClassVar = [
            models.Index(fields=["card", "next_due_on", "due_on", "on", "doubts"], name="certs_confirmation_to"),
        ]

    def __str__(self) -> str:
        return f"{self.card_id} confirmed {self.on}"
