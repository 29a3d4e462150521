"""What was told to whom by mail."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.cards.models import Card
from certs.notices.rules import Kind
from training.people.models import Person


class Notice(models.Model):
    """One thing told to one person about one card; written before the mail leaves, so that it leaves once.

    `due` is the day it is about. `number` tells notices of one day apart: how many days ahead, or which measure.
    """

    person = models.ForeignKey(Person, models.CASCADE, related_name="notices")
    card = models.ForeignKey(Card, models.PROTECT, related_name="notices")
    kind = models.CharField(max_length=24)
    due = models.DateField()
    number = models.PositiveBigIntegerField(default=0)
    written_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "card", "kind", "due", "number"],
                name="certs_notice_once",
                violation_error_message=_("This person was told that already."),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=[kind.value for kind in Kind]),
                name="certs_notice_known_kind",
                violation_error_message=_("A notice is about a day of a card or about an act on it."),
            ),
            models.CheckConstraint(
                condition=Q(sent_at__isnull=True) | Q(sent_at__gte=F("written_at")),
                name="certs_notice_written_before_sent",
                violation_error_message=_("A notice is written before it is sent."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.card_id} {self.kind} {self.due}"
