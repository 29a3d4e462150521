"""Papers, sittings, answers and marks."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.bank.models import QuestionVersion
from training.people.models import Person


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


class Sitting(models.Model):
    """One person taking one paper once. Totals are written at hand-in and never after."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(Person, models.PROTECT, related_name="sittings")
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="sittings")
    issue = models.ForeignKey(PaperIssue, models.PROTECT, related_name="sittings")
    seed = models.CharField(max_length=64)
    opened_at = models.DateTimeField()
    due_at = models.DateTimeField()
    handed_in_at = models.DateTimeField(null=True, blank=True)
    earned_numerator = models.PositiveIntegerField(null=True, blank=True)
    earned_denominator = models.PositiveIntegerField(null=True, blank=True)
    out_of = models.PositiveSmallIntegerField()
    passed = models.BooleanField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "paper"],
                condition=Q(handed_in_at__isnull=True),
                name="training_sitting_one_open",
                violation_error_message=_("You already have this paper open. Go on with that one."),
            ),
            models.CheckConstraint(
                condition=Q(handed_in_at__isnull=True) | Q(handed_in_at__gte=F("opened_at")),
                name="training_sitting_ends_after_it_starts",
                violation_error_message=_("A paper cannot be handed in before it was opened."),
            ),
            models.CheckConstraint(
                condition=Q(
                    handed_in_at__isnull=True,
                    earned_numerator__isnull=True,
                    earned_denominator__isnull=True,
                    passed__isnull=True,
                )
                | Q(
                    handed_in_at__isnull=False,
                    earned_numerator__isnull=False,
                    earned_denominator__isnull=False,  # a comparison with nothing is unknown, which CHECK lets pass
                    earned_denominator__gte=1,
                    passed__isnull=False,
                    earned_numerator__lte=F("out_of") * F("earned_denominator"),
                ),
                name="training_sitting_marked_once_handed_in",
                violation_error_message=_("A paper has its mark when it is handed in, from 0 to its maximum."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["person", "paper", "-opened_at"])]

    def __str__(self) -> str:
        return str(self.id)


class SittingItem(models.Model):
    """A drawn question as it was shown, with its key sealed beside it."""

    sitting = models.ForeignKey(Sitting, models.PROTECT, related_name="items")
    position = models.PositiveSmallIntegerField()
    question_version = models.ForeignKey(QuestionVersion, models.PROTECT, related_name="uses")
    shown = models.JSONField(help_text=_("what the candidate sees"))
    sealed = models.JSONField(help_text=_("answers, mistakes and working: never sent before hand-in"))
    digest = models.CharField(max_length=64)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["sitting", "position"],
                name="training_sittingitem_place_once",
                violation_error_message=_("This paper already has a question in that place."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.sitting_id} no. {self.position}"


class Answer(models.Model):
    """What the candidate last kept for one question, by name of part."""

    item = models.OneToOneField(SittingItem, models.PROTECT, related_name="answer")
    given = models.JSONField()
    kept_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"answer to {self.item_id}"


class PartMark(models.Model):
    """The mark of one part of one question, written at hand-in."""

    item = models.ForeignKey(SittingItem, models.PROTECT, related_name="marks")
    part = models.CharField(max_length=40)
    share_numerator = models.PositiveIntegerField()
    share_denominator = models.PositiveIntegerField()
    flags = models.JSONField(default=list)
    misconception = models.CharField(max_length=80, blank=True)
    says = models.TextField(blank=True)
    read = models.CharField(_("answer as understood"), max_length=400, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["item", "part"],
                name="training_partmark_once",
                violation_error_message=_("This part is already marked."),
            ),
            models.CheckConstraint(
                condition=Q(share_denominator__gte=1, share_numerator__lte=F("share_denominator")),
                name="training_partmark_share_within_one",
                violation_error_message=_("A part earns from nothing to its whole mark."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item_id} {self.part}"
