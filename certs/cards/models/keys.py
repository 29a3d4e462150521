"""The public halves of the keys that sign cards, and the log of what they signed."""

from datetime import date
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.cards.models.cards import Card


class CardKey(models.Model):
    """The public half of a key that signs cards, with its first and last day of signing and the day it was broken."""

    key_id = models.CharField(max_length=8, unique=True)
    public = models.CharField(max_length=64, help_text=_("32 bytes, hexadecimal"))
    signs_from = models.DateField()
    signs_to = models.DateField()
    broken_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(signs_to__gte=F("signs_from")),
                name="certs_cardkey_ends_after_it_starts",
                violation_error_message=_("A key cannot stop signing before it starts."),
            ),
        ]

    def __str__(self) -> str:
        return self.key_id

    def signs_on(self, on: date) -> bool:
        """Say whether it may sign on a day."""
        return self.broken_on is None and self.signs_from <= on <= self.signs_to


class Signature(models.Model):
    """What a key has signed, each once: the code or the file of a card, or without a card a list of cards."""

    key = models.ForeignKey(CardKey, models.PROTECT, related_name="signatures")
    card = models.ForeignKey(Card, models.PROTECT, null=True, related_name="signatures")
    digest = models.CharField(max_length=64, unique=True, help_text=_("SHA-256 of the signed text, hexadecimal"))
    at = models.DateTimeField(help_text=_("when it was first signed"))

    def __str__(self) -> str:
        return self.digest
