"""Copies that were made and proved, and the row that shows that a row can be kept."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from training.ledger.models import Kept


class Copy(Kept):
    """A copy of the database that was opened and proved after it was made."""

    name = models.CharField(_("file"), max_length=120, unique=True)
    made_at = models.DateTimeField(_("made"))
    size = models.PositiveBigIntegerField(_("bytes"))
    sha256 = models.CharField(max_length=64)
    head_seq = models.PositiveBigIntegerField(_("entries of the ledger in it"))

    class Meta:
        verbose_name = _("copy")
        verbose_name_plural = _("copies")

    def __str__(self) -> str:
        return self.name


class Probe(models.Model):
    """One row, written again and again: a disk that is full answers every question and keeps nothing."""

    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(pk=1),
                name="training_probe_is_one_row",
                violation_error_message=_("There is one probe only."),
            )
        ]

    def __str__(self) -> str:
        return str(self.at)
