"""Questions under their lasting keys, and their frozen versions."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.bank.rules import Origin
from training.people.models import Person


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


class Correction(models.Model):
    """A key found wrong after it was used: what is right instead, who says so, and which second person agreed.

    The version itself is never edited: its papers are marked by it and then by the corrections that were applied.
    """

    question_version = models.ForeignKey(QuestionVersion, models.PROTECT, related_name="corrections")
    change = models.JSONField(help_text=_("what is right instead, in the shape of training.questions.correcting"))
    reason = models.TextField(_("why the key is wrong"))
    proposed_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    proposed_at = models.DateTimeField()
    decided_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    applied = models.BooleanField(null=True, blank=True)
    refusal = models.TextField(_("why it was not applied"), blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["question_version"],
                condition=Q(decided_at__isnull=True),
                name="training_correction_one_open",
                violation_error_message=_("A correction of this question waits already. Decide about that one first."),
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="training_correction_has_reason",
                violation_error_message=_("Say why the key is wrong."),
            ),
            models.CheckConstraint(
                condition=Q(decided_at__isnull=True, decided_by__isnull=True, applied__isnull=True)
                | Q(decided_at__isnull=False, decided_by__isnull=False, applied__isnull=False),
                name="training_correction_decided_by_someone",
                violation_error_message=_("A decision about a correction says by whom and when."),
            ),
            models.CheckConstraint(
                condition=Q(applied__isnull=True) | Q(applied=False) | ~Q(decided_by=F("proposed_by")),
                name="training_correction_second_person",
                violation_error_message=_("Nobody applies their own correction. Ask a second person."),
            ),
            models.CheckConstraint(
                condition=Q(applied__isnull=True) | Q(applied=True) | ~Q(refusal=""),
                name="training_correction_refused_for_a_reason",
                violation_error_message=_("Say why the correction is not applied."),
            ),
        ]

    def __str__(self) -> str:
        return f"correction {self.pk} of {self.question_version_id}"
