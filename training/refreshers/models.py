"""What was asked and answered, work that counts, and who wants a mail. Nothing here is a mark or decides anything.

How well a topic is remembered is computed from these rows, the passed papers and the calendar, and never stored. No act
of this room goes into the ledger: it decides nothing.
"""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.people.models import Person
from training.refreshers.rules import Outcome


class Drill(models.Model):
    """A few questions of one topic for one person on one day, as drawn; answered once or left.

    `asked` holds the questions, what is shown beside what is sealed; `keys` names them, so that others come next time.
    """

    person = models.ForeignKey(Person, models.PROTECT, related_name="drills")
    topic = models.SlugField()
    on = models.DateField()
    seed = models.CharField(max_length=64)
    keys = models.JSONField()
    asked = models.JSONField()
    opened_at = models.DateTimeField()
    given = models.JSONField(default=dict, blank=True)
    outcome = models.CharField(max_length=8, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "topic", "on"],
                name="training_drill_once_a_day",
                violation_error_message=_("There is one refresher a topic and day. Come back on its next day."),
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True) | Q(answered_at__gte=F("opened_at")),
                name="training_drill_answered_after_opened",
                violation_error_message=_("Questions cannot be answered before they were opened."),
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True, outcome="")
                | Q(answered_at__isnull=False, outcome__in=[one.value for one in Outcome]),
                name="training_drill_outcome_once_answered",
                violation_error_message=_("A refresher has its outcome when it is answered."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.topic} {self.on}"


class WorkDone(models.Model):
    """Confirmed work that called a topic to mind, counted like a drill that went right."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="work_done")
    topic = models.SlugField()
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "topic", "at"],
                name="training_workdone_once",
                violation_error_message=_("This work is counted already."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.topic} {self.at}"


class MailChoice(models.Model):
    """Whether a person asked for mail about refreshers; without a row there is none."""

    person = models.OneToOneField(Person, models.PROTECT, related_name="mail_choice")
    wanted = models.BooleanField()
    chosen_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.person_id} {self.wanted}"


class Reminder(models.Model):
    """The one mail of a day to a person; written before it is sent, so that a broken run never sends it twice."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="reminders")
    on = models.DateField()
    topics = models.JSONField()
    written_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "on"],
                name="training_reminder_once_a_day",
                violation_error_message=_("This person already has the mail of that day."),
            ),
            models.CheckConstraint(
                condition=Q(sent_at__isnull=True) | Q(sent_at__gte=F("written_at")),
                name="training_reminder_written_before_sent",
                violation_error_message=_("A reminder is written before it is sent."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.on}"
