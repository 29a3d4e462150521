"""The chain itself."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Entry(models.Model):
    """One act: who did what to which record, and the mark that ties it to the entry before."""

    seq = models.PositiveBigIntegerField(primary_key=True)
    at = models.DateTimeField()
    by = models.BigIntegerField(help_text=_("number of the person; no name, so a name can be erased"))
    act = models.CharField(max_length=40)
    about = models.JSONField()
    prev = models.CharField(max_length=64)
    mark = models.CharField(max_length=64, unique=True)

    class Meta:
        verbose_name = _("ledger entry")

    def __str__(self) -> str:
        return f"{self.seq} {self.act}"
