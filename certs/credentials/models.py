"""Which cards were taken along as signed files, and the place of each in the status lists."""

from typing import ClassVar
from uuid import uuid4

from django.db import models
from django.utils.translation import gettext_lazy as _

from certs.cards.models import Card


class Credential(models.Model):
    """The signed file of a card: made anew at each download, always under the same name and place."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    card = models.OneToOneField(Card, models.PROTECT, related_name="credential")
    # Drawn by chance: a place in a public list must not tell when, or beside whom, a card was issued.
    place = models.PositiveIntegerField(_("place in the status lists"))
    made_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["place"],
                name="certs_credential_place_once",
                violation_error_message=_("This place in the status lists is taken."),
            )
        ]

    def __str__(self) -> str:
        return str(self.id)
