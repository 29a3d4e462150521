"""Cards, what happened to them, and the public halves of the keys that sign them."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.cards.rules import Step
from certs.schemes.models import Scheme, SchemeIssue
from training.people.models import Person

STEP_WORDS = {
    Step.SUSPENDED: _("suspended"),
    Step.REINSTATED: _("reinstated"),
    Step.WITHDRAWN: _("withdrawn"),
    Step.REPLACED: _("replaced"),
}


class Card(models.Model):
    """A competency card as issued; its standing is computed for a day, never stored."""

    number = models.CharField(_("card number"), max_length=16, unique=True)
    person = models.ForeignKey(Person, models.PROTECT, related_name="cards")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="cards")
    scheme_issue = models.ForeignKey(SchemeIssue, models.PROTECT, related_name="cards")
    # Named, not imported: the sign-off that earned the card lies a floor above, the evidence must not be lost.
    evidence = models.OneToOneField("certs.Signoff", models.PROTECT, related_name="card")
    holder_name = models.CharField(_("holder"), max_length=120)
    scope = models.TextField(_("scope"))
    limits = models.TextField(_("limits"), blank=True)
    anchor = models.DateField(_("first day of the first cycle"))
    valid_from = models.DateField(_("valid from"))
    last_day = models.DateField(_("valid to the end of"))
    zone = models.CharField(_("time zone"), max_length=64)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    # Set with the measure that closes a card for good; it carries the constraint below, standing is not read from it.
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("valid_from")),
                name="certs_card_ends_after_it_starts",
                violation_error_message=_("A card cannot end before it starts."),
            ),
            models.UniqueConstraint(
                fields=["person", "scheme"],
                condition=Q(closed_at__isnull=True),
                name="certs_card_one_open",
                violation_error_message=_("This person already holds a card of this scheme."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["scheme", "last_day"])]

    def __str__(self) -> str:
        return self.number


class Measure(models.Model):
    """A dated, reasoned act on a card by a named person."""

    card = models.ForeignKey(Card, models.PROTECT, related_name="measures")
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

    def __str__(self) -> str:
        return f"{self.card_id} {self.step} {self.on}"


class Confirmation(models.Model):
    """A supervisor's confirmation that the holder has been doing the work."""

    card = models.ForeignKey(Card, models.PROTECT, related_name="confirmations")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    on = models.DateField(_("day of confirmation"))
    entered_on = models.DateField()
    entered_at = models.DateTimeField()
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

    def __str__(self) -> str:
        return f"{self.card_id} confirmed {self.on}"


class CardKey(models.Model):
    """The public half of a key that signs cards."""

    key_id = models.CharField(max_length=8, unique=True)
    public = models.CharField(max_length=64, help_text=_("32 bytes, hexadecimal"))
    signs_from = models.DateField()

    def __str__(self) -> str:
        return self.key_id
