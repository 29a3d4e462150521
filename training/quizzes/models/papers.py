"""Papers and their frozen issues."""

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _


class Paper(models.Model):
    """An examination paper under its lasting name."""

    slug = models.SlugField(unique=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.slug


class PaperIssue(models.Model):
    """One blueprint of a paper, never edited once loaded."""

    paper = models.ForeignKey(Paper, models.PROTECT, related_name="issues")
    version = models.PositiveIntegerField()
    title = models.CharField(max_length=120)
    body = models.JSONField(help_text=_("the blueprint as loaded"))
    digest = models.CharField(max_length=64)
    loaded_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["paper", "version"],
                name="training_paperissue_once",
                violation_error_message=_("This paper already has an issue of that number."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.paper_id} v{self.version}"
