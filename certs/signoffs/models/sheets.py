"""Filled sheets as they came, and those sent back."""

from datetime import timedelta
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.schemes.models import SchemeIssue
from training.ledger.models import Kept
from training.people.models import Person


class ReceivedSheet(Kept):
    """A filled sheet as a device sent it: kept with its bytes' digest, never edited; signing it is another act.

    `body` holds the fields as they were typed, `reading` the sheet that was read from them, `digest` is the SHA-256 of
    the bytes that came. `made_by` is who sent them, `assessor` who saw the practical: another person only where a sheet
    on paper was typed in afterwards.
    """

    id = models.UUIDField(primary_key=True, editable=False)
    candidate = models.ForeignKey(Person, models.PROTECT, related_name="sheets")
    scheme_issue = models.ForeignKey(SchemeIssue, models.PROTECT, related_name="sheets")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="sheets_seen")
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="sheets_made")
    on_paper = models.BooleanField(_("filled in on paper, entered afterwards"), default=False)
    assessed_on = models.DateField(_("day of the practical"))
    body = models.JSONField()
    reading = models.JSONField()
    digest = models.CharField(max_length=64)
    phone_time = models.DateTimeField()
    received_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(on_paper=True) | Q(made_by=F("assessor")),
                name="certs_receivedsheet_by_who_saw",
                violation_error_message=_("Only a sheet filled in on paper is entered by somebody else."),
            )
        ]
        indexes: ClassVar = [models.Index(fields=["assessor", "phone_time"])]

    def __str__(self) -> str:
        return str(self.id)

    @property
    def clock_off(self) -> timedelta:
        """How far the phone's clock and the way here lie behind the server's clock."""
        return self.received_at - self.phone_time


class DoAgain(models.Model):
    """An assessor's refusal to sign a sheet, with its reason: the practical is done again."""

    sheet = models.OneToOneField(ReceivedSheet, models.PROTECT, related_name="do_again")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    reason = models.TextField(_("reason"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="certs_doagain_has_reason",
                violation_error_message=_("Say why: the candidate reads it, and does the practical again."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.sheet_id} again"
