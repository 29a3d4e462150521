"""The signed lists as they were made; a row is never changed."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.cards.models import CardKey


class KeyList(models.Model):
    """A list of the keys that sign cards, signed by the root key."""

    sequence = models.PositiveIntegerField(primary_key=True)
    made_at = models.DateTimeField()
    message = models.TextField(help_text=_("the signed list, base64url"))

    def __str__(self) -> str:
        return f"keys {self.sequence}"


class StatusList(models.Model):
    """A list of the cards that are stopped, signed by a key of the cards, and what it was made from."""

    sequence = models.PositiveIntegerField(primary_key=True)
    made_at = models.DateTimeField()
    good_until = models.DateTimeField()
    cards = models.PositiveIntegerField()
    measures = models.PositiveIntegerField()
    key = models.ForeignKey(CardKey, models.PROTECT, related_name="+")
    message = models.TextField(help_text=_("the signed list, base64url"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(good_until__gt=F("made_at")),
                name="certs_statuslist_good_for_a_while",
                violation_error_message=_("A list of cards is good for a while after it is made."),
            ),
        ]

    def __str__(self) -> str:
        return f"cards {self.sequence}"
