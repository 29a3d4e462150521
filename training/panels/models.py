"""Panels, their judges, the questions they look at, their estimates and their minutes."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.bank.models import QuestionVersion
from training.panels import rules
from training.people.models import Person
from training.quizzes.models import PaperIssue


class Panel(models.Model):
    """Judges who say where the pass mark of one issue of a paper belongs. A closed round is never opened again."""

    issue = models.ForeignKey(PaperIssue, models.PROTECT, related_name="panels")
    opened_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    first_closed_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    first_closed_at = models.DateTimeField(null=True, blank=True)
    second_closed_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    second_closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["issue"],
                condition=Q(second_closed_at__isnull=True),
                name="training_panel_one_open",
                violation_error_message=_("A panel is at work on this paper already. Go on with that one."),
            ),
            models.CheckConstraint(
                condition=Q(first_closed_at__isnull=True, first_closed_by__isnull=True)
                | Q(first_closed_at__isnull=False, first_closed_by__isnull=False),
                name="training_panel_first_closed_by_someone",
                violation_error_message=_("The first round is closed by somebody, at a moment."),
            ),
            models.CheckConstraint(
                condition=Q(second_closed_at__isnull=True, second_closed_by__isnull=True)
                | Q(second_closed_at__isnull=False, second_closed_by__isnull=False),
                name="training_panel_second_closed_by_someone",
                violation_error_message=_("The second round is closed by somebody, at a moment."),
            ),
            models.CheckConstraint(
                condition=Q(first_closed_at__isnull=True) | Q(first_closed_at__gte=F("opened_at")),
                name="training_panel_first_closed_after_opening",
                violation_error_message=_("A round is closed after the panel was opened."),
            ),
            models.CheckConstraint(
                condition=Q(second_closed_at__isnull=True)
                | Q(first_closed_at__isnull=False, second_closed_at__gte=F("first_closed_at")),
                name="training_panel_rounds_in_order",
                violation_error_message=_("The second round is closed after the first."),
            ),
        ]

    def __str__(self) -> str:
        return f"panel {self.pk} on {self.issue_id}"

    @property
    def stage(self) -> rules.Stage:
        """Where it stands."""
        return rules.stage(
            first_closed=self.first_closed_at is not None, second_closed=self.second_closed_at is not None
        )


class PanelJudge(models.Model):
    """A trainer named to a panel."""

    panel = models.ForeignKey(Panel, models.PROTECT, related_name="judges")
    person = models.ForeignKey(Person, models.PROTECT, related_name="seats")
    named_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    named_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["panel", "person"],
                name="training_paneljudge_once",
                violation_error_message=_("This person is a judge on this panel already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.person_id} on {self.panel_id}"


class PanelQuestion(models.Model):
    """One question the judges look at."""

    panel = models.ForeignKey(Panel, models.PROTECT, related_name="questions")
    position = models.PositiveSmallIntegerField()
    version = models.ForeignKey(QuestionVersion, models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["panel", "position"],
                name="training_panelquestion_place_once",
                violation_error_message=_("This panel already has a question in that place."),
            ),
            models.UniqueConstraint(
                fields=["panel", "version"],
                name="training_panelquestion_once",
                violation_error_message=_("This panel looks at that question already."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.panel_id} no. {self.position}"


class PanelEstimate(models.Model):
    """What one judge expects of one question in one round; it may change until the round is closed."""

    judge = models.ForeignKey(PanelJudge, models.PROTECT, related_name="estimates")
    question = models.ForeignKey(PanelQuestion, models.PROTECT, related_name="estimates")
    round = models.PositiveSmallIntegerField()
    percent = models.PositiveSmallIntegerField(_("just-competent persons out of a hundred who get it right"))
    kept_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["judge", "question", "round"],
                name="training_panelestimate_once",
                violation_error_message=_("This judge has an estimate for that question in this round already."),
            ),
            models.CheckConstraint(
                condition=Q(percent__gte=0, percent__lte=rules.FULL),
                name="training_panelestimate_of_a_hundred",
                violation_error_message=_("Give a whole number from 0 to 100."),
            ),
            models.CheckConstraint(
                condition=Q(round__in=[rules.FIRST, rules.SECOND]),
                name="training_panelestimate_two_rounds",
                violation_error_message=_("A panel has a first and a second round."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.judge_id} on {self.question_id} in round {self.round}"


class PanelMinute(models.Model):
    """A paragraph of the minutes, never changed: what was wrong in one is put right by the next."""

    panel = models.ForeignKey(Panel, models.PROTECT, related_name="minutes")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    text = models.TextField(_("what was said"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(text=""),
                name="training_panelminute_says_something",
                violation_error_message=_("Write what was said, then keep it."),
            )
        ]

    def __str__(self) -> str:
        return f"minute {self.pk} of {self.panel_id}"
