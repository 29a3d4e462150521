"""What is settled before a sitting: consent and identity, extra time, retraining. And what a person saw elsewhere."""

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.bank.models import Question
from training.people.models import Person
from training.quizzes.models.papers import Paper

MOST_TIME = Decimal(3)
MOST_BREAK = 120


class Accommodation(models.Model):
    """More time, or breaks, for one person on one paper; the last decision before a sitting holds for it.

    The reason is personal: it is on no certificate, no result and no list but the deciders' own.
    """

    person = models.ForeignKey(Person, models.PROTECT, related_name="accommodations")
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="accommodations")
    factor = models.DecimalField(_("times the paper's own time"), max_digits=4, decimal_places=2)
    break_minutes = models.PositiveSmallIntegerField(_("minutes of breaks"), default=0)
    reason = models.TextField(_("reason"))
    decided_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    decided_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(factor__gte=1, factor__lte=MOST_TIME),
                name="training_accommodation_factor_sane",
                violation_error_message=_("Give a factor from 1 to 3; 1 is the paper's own time."),
            ),
            models.CheckConstraint(
                condition=Q(break_minutes__lte=MOST_BREAK),
                name="training_accommodation_breaks_sane",
                violation_error_message=_("Give at most 120 minutes of breaks."),
            ),
            models.CheckConstraint(
                condition=~Q(person=F("decided_by")),
                name="training_accommodation_not_oneself",
                violation_error_message=_("Nobody decides about their own time."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["person", "paper", "-decided_at"])]

    def __str__(self) -> str:
        return f"{self.person_id} on {self.paper_id}: {self.factor}"


class Retraining(models.Model):
    """A statement that a person was trained again for a paper, up to a day."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="retrainings")
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="retrainings")
    ended_on = models.DateField(_("last day of training"))
    said_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(person=F("said_by")),
                name="training_retraining_not_oneself",
                violation_error_message=_("Nobody states their own retraining."),
            ),
            models.UniqueConstraint(
                fields=["person", "paper", "ended_on"],
                name="training_retraining_once_a_day",
                violation_error_message=_("This retraining is already on record."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} for {self.paper_id} to {self.ended_on}"


class Seen(models.Model):
    """A question that a person saw outside an examination on a local day: their paper of that day leaves it out."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="questions_seen")
    question = models.ForeignKey(Question, models.CASCADE, related_name="seen")
    on = models.DateField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "on", "question"],
                name="training_seen_once_a_day",
                violation_error_message=_("This question is already noted as seen on that day."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.question_id} by {self.person_id} on {self.on}"
