"""Drafts of calculation questions, what became of them, and who retired a question and why."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from training.bank.models import Question, QuestionVersion
from training.people.models import Person


class Draft(models.Model):
    """A question being written, kept as typed. Once used it is the record of who put which version into use, and why.

    `key` is the name it holds against other drafts, or empty while it has none of its own.
    """

    question = models.ForeignKey(Question, models.PROTECT, null=True, blank=True, related_name="drafts")
    key = models.CharField(max_length=80, blank=True)
    version = models.PositiveIntegerField()
    computation = models.CharField(max_length=80)
    typed = models.JSONField(help_text=_("what stands in the fields of its page"))
    edits = models.PositiveIntegerField(default=0)
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    changed_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    used_as = models.OneToOneField(QuestionVersion, models.PROTECT, null=True, blank=True, related_name="draft")
    used_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    used_at = models.DateTimeField(null=True, blank=True)
    changed = models.TextField(_("what changed and why"), blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["key"],
                condition=Q(used_as__isnull=True) & ~Q(key=""),
                name="training_draft_key_once",
                violation_error_message=_("Another draft has this key. Take another key."),
            ),
            models.CheckConstraint(
                condition=Q(used_as__isnull=True, used_by__isnull=True, used_at__isnull=True)
                | Q(used_as__isnull=False, used_by__isnull=False, used_at__isnull=False),
                name="training_draft_used_by_someone",
                violation_error_message=_("A draft that is used says by whom and when."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key or self.pk} v{self.version}"


class Retirement(models.Model):
    """A question taken out of use."""

    question = models.ForeignKey(Question, models.PROTECT, related_name="retirements")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.TextField()
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="training_retirement_has_reason",
                violation_error_message=_("Say why the question is retired."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.question_id} retired"
