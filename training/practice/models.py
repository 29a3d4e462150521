"""Questions tried in practice. Nothing here is a mark, and no row decides anything."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.bank.models import QuestionVersion
from training.people.models import Person


class Practice(models.Model):
    """One question as it was drawn for a person in practice, and what was answered; nothing until then."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(Person, models.PROTECT, related_name="practice")
    topic = models.SlugField()
    question_version = models.ForeignKey(QuestionVersion, models.PROTECT, related_name="practice")
    shown = models.JSONField(help_text=_("what the person sees"))
    sealed = models.JSONField(help_text=_("answers, mistakes and working: never sent before the answer"))
    asked_at = models.DateTimeField()
    given = models.JSONField(default=dict, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "topic"],
                condition=Q(answered_at__isnull=True),
                name="training_practice_one_open",
                violation_error_message=_("A question of this subject is open already. Answer that one."),
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True) | Q(answered_at__gte=F("asked_at")),
                name="training_practice_answered_after_asked",
                violation_error_message=_("A question cannot be answered before it was asked."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["person", "topic", "-asked_at"])]

    def __str__(self) -> str:
        return str(self.id)
