"""Photos, each about one record of another room."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from certs.photos.rules import Fault
from training.people.models import Person

FAULT_WORDS = {
    Fault.EMPTY: _("This file is empty. Take the photo again."),
    Fault.TOO_LONG: _("This photo is over 12 MB. Take it again with a smaller picture size."),
    Fault.NOT_A_PHOTO: _("This is not a photo that can be read. Take a JPEG photo with the phone's camera."),
    Fault.TOO_MANY_PIXELS: _("This photo has over 50 million points. Take it again with a smaller picture size."),
    Fault.MOVES: _("This is a moving picture. Take a still photo."),
    Fault.BROKEN: _("This photo is cut off or damaged. Take it again."),
    Fault.TOO_MANY: _("This record has 12 photos already. Take the least useful one out first."),
    Fault.UNREADABLE: _("It does not say which record this photo belongs to. Take it again from the record's page."),
    Fault.TOO_SMALL: _("This photo is too small for a card. Take one that is at least 269 points wide and 346 high."),
}


class Photo(models.Model):
    """One photo as it was made anew from what came; never edited.

    The record is named by kind and key, not by a foreign key: a photo may arrive before it. The bytes are held in the
    table, so that they are kept, copied and restored together with the row, on either database and any host.
    """

    id = models.UUIDField(primary_key=True, editable=False)
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="photos")
    kind = models.SlugField(_("kind of record"), max_length=20)
    record = models.UUIDField(_("record"))
    digest = models.CharField(max_length=64, help_text=_("SHA-256 of the bytes as received"))
    jpeg = models.BinaryField()
    taken_at = models.DateTimeField(_("taken, by the phone's clock"), null=True, blank=True)
    kept_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(kind=""),
                name="certs_photo_of_a_kind",
                violation_error_message=_("A photo belongs to a record of some kind."),
            )
        ]
        indexes: ClassVar = [models.Index(fields=["kind", "record"])]

    def __str__(self) -> str:
        return str(self.id)
