"""Modules, their frozen revisions, and the record of who read which."""

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from training.people.models import Person


class Module(models.Model):
    """A procedure that keeps its name while its text is revised."""

    slug = models.SlugField(unique=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.slug


class Revision(models.Model):
    """One issue of a module's text, never edited once loaded."""

    module = models.ForeignKey(Module, models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    language = models.CharField(max_length=12)
    title = models.CharField(max_length=120)
    order = models.PositiveSmallIntegerField()
    body = models.JSONField(help_text=_("the module as loaded, in the shape of training.content"))
    digest = models.CharField(max_length=64)
    changed = models.TextField(_("what changed and why"))
    loaded_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["module", "number"],
                name="training_revision_number_once",
                violation_error_message=_("This module already has a revision of that number."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.module_id} rev {self.number}"


class Reading(models.Model):
    """A person's own statement that they read a revision."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="readings")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="readings")
    read_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "revision"],
                name="training_reading_once",
                violation_error_message=_("This reading is already on record."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.person_id} read {self.revision_id}"
