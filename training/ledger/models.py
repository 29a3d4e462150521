"""The chain itself, and the rows elsewhere that are written once as well."""

from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _


class NotEdited(TypeError):
    """A row that is kept as it was written was about to be changed or deleted."""


class Kept(models.Model):
    """A row that is written once: evidence, neither changed nor deleted."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Keep a new row. Raises NotEdited for one that is kept."""
        if not self._state.adding:
            raise NotEdited
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse: evidence stays."""
        raise NotEdited


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
