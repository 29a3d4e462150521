"""Batches of cards to print, the cards asked for, and the parts that are printed."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from certs.cards.models import Card
from training.people.models import Person


class Batch(models.Model):
    """Cards that somebody asked to be printed together. It is made when it holds its PDF; how far it is is counted."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    by = models.ForeignKey(Person, models.PROTECT, related_name="batches")
    asked_at = models.DateTimeField()
    layout = models.CharField(_("paper"), max_length=8)
    language = models.CharField(_("language of the cards"), max_length=8, blank=True)
    stopped_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)
    pages = models.PositiveIntegerField(default=0)
    pdf = models.BinaryField(default=b"")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(made_at__isnull=True, pages=0) | Q(made_at__isnull=False, pages__gt=0),
                name="certs_batch_made_with_pages",
                violation_error_message=_("A print is made when it has pages."),
            )
        ]
        indexes: ClassVar = [models.Index(fields=["by", "asked_at"])]

    def __str__(self) -> str:
        return str(self.id)


class BatchPart(models.Model):
    """The cards of one step, printed. Parts are put together into the batch and go."""

    batch = models.ForeignKey(Batch, models.CASCADE, related_name="parts")
    number = models.PositiveSmallIntegerField()
    pdf = models.BinaryField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["batch", "number"],
                name="certs_batchpart_once",
                violation_error_message=_("This part is printed already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.batch_id} part {self.number}"


class BatchCard(models.Model):
    """A card that a batch asks for: in which part it was printed, or why it was not."""

    batch = models.ForeignKey(Batch, models.CASCADE, related_name="cards")
    card = models.ForeignKey(Card, models.PROTECT, related_name="+")
    place = models.PositiveSmallIntegerField()
    part = models.PositiveSmallIntegerField(null=True, blank=True)
    refused = models.TextField(_("why it was not printed"), blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["batch", "card"],
                name="certs_batchcard_once",
                violation_error_message=_("This card is in the batch already."),
            ),
            models.CheckConstraint(
                condition=Q(part__isnull=True) | Q(refused=""),
                name="certs_batchcard_printed_or_refused",
                violation_error_message=_("A card is printed or refused, not both."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.batch_id} {self.card_id}"
