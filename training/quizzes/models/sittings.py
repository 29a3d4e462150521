"""Sittings, their questions, answers and marks."""

import uuid
from datetime import datetime, timedelta
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.bank.models import QuestionVersion
from training.people.models import Person
from training.quizzes import rules
from training.quizzes.models.arrangements import Accommodation
from training.quizzes.models.papers import Paper, PaperIssue


class Sitting(models.Model):
    """One person taking one paper once. Totals are written at hand-in and never after.

    `due_at` moves on when a break ends; while one runs, `paused_at` says since when and `break_left` how much break
    time is left. A sitting that `resumes` an earlier one asks only the topics that fell short in it; `short` names
    those that fall short in this one, where the paper is taken by its topics.
    """

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
    accommodation = models.ForeignKey(Accommodation, models.PROTECT, null=True, blank=True, related_name="sittings")
    break_left = models.DurationField(default=timedelta(0))
    paused_at = models.DateTimeField(null=True, blank=True)
    resumes = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="resumed_by")
    short = models.JSONField(default=list, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(handed_in_at__isnull=True) | Q(paused_at__isnull=True),
                name="training_sitting_no_break_after_the_end",
                violation_error_message=_("A paper that is handed in has no break running."),
            ),
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

    def due(self, at: datetime) -> datetime:
        """Return when the time is over as it looks at a moment, with a break that runs now."""
        return rules.due(due_at=self.due_at, paused_at=self.paused_at, left=self.break_left, at=at)


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
    """What the candidate last kept for one question, by name of part.

    `turn` counts how often it was kept and `page` is the page that kept it last, so that a page left open elsewhere
    cannot put an older answer over a newer one. `flagged` is the candidate's mark to come back to it.
    """

    item = models.OneToOneField(SittingItem, models.PROTECT, related_name="answer")
    given = models.JSONField()
    kept_at = models.DateTimeField()
    turn = models.PositiveIntegerField(default=1)
    page = models.CharField(max_length=32, blank=True)
    flagged = models.BooleanField(default=False)

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
