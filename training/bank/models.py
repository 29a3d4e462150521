"""Questions under their lasting keys, and their frozen versions."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from training.bank.rules import Origin


class Question(models.Model):
    """A question under its lasting key; the text lives in its versions."""

    key = models.SlugField(max_length=80, unique=True)
    origin = models.CharField(max_length=8, default=Origin.FILES)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(origin__in=list(Origin)),
                name="training_question_origin_known",
                violation_error_message=_("A question is written in the files or on the site."),
            )
        ]

    def __str__(self) -> str:
        return self.key


class QuestionVersion(models.Model):
    """One wording of a question, never edited once loaded."""

    question = models.ForeignKey(Question, models.PROTECT, related_name="versions")
    version = models.PositiveIntegerField()
    kind = models.CharField(max_length=16)
    topic = models.CharField(max_length=50)
    level = models.CharField(max_length=8)
    safety = models.BooleanField(default=False)
    body = models.JSONField(help_text=_("the specification as loaded"))
    digest = models.CharField(max_length=64)
    loaded_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["question", "version"],
                name="training_questionversion_once",
                violation_error_message=_("This question already has a version of that number."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.question_id} v{self.version}"
