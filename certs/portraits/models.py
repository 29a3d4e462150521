"""Consents to a photo on the card, which stay on record, and the photos, which go with their consent."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Length
from django.db.models.lookups import GreaterThan, LessThanOrEqual
from django.utils.translation import gettext_lazy as _

from certs.portraits.rules import MOST_BYTES
from training.people.models import Person


class Consent(models.Model):
    """That a person agreed to their photo being printed on their card, and whether it is shown at the check as well.

    `how` says how somebody else who enters it knows. Nothing but its end is added later, or `at_check` taken back.
    """

    person = models.ForeignKey(Person, models.PROTECT, related_name="photo_consents")
    agreed_on = models.DateField(_("agreed on"))
    at_check = models.BooleanField(_("shown at the check"))
    how = models.CharField(_("how the person agreed"), max_length=300, blank=True)
    entered_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    ended_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(ended_at__isnull=True),
                name="certs_consent_one_open",
                violation_error_message=_("This person has a photo already: it is replaced, not added to."),
            ),
            models.CheckConstraint(
                condition=Q(entered_by=F("person")) | ~Q(how=""),
                name="certs_consent_of_another_says_how",
                violation_error_message=_("Say how the person agreed, such as: signed the form of 12 March."),
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | Q(ended_at__gte=F("entered_at"), ended_by__isnull=False),
                name="certs_consent_ended_by_somebody",
                violation_error_message=_("A consent ends after it was entered, by somebody."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.agreed_on}"


class Portrait(models.Model):
    """The photo itself, cut and made small when it came. Its key is its address, and tells nothing of the person."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    consent = models.OneToOneField(Consent, models.PROTECT, related_name="portrait")
    jpeg = models.BinaryField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(GreaterThan(Length("jpeg"), 0)) & Q(LessThanOrEqual(Length("jpeg"), MOST_BYTES)),
                name="certs_portrait_small",
                violation_error_message=_("The photo of a card holds something, and at most 60 kB."),
            )
        ]

    def __str__(self) -> str:
        return str(self.id)
