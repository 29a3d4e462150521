"""Modules, their frozen revisions, the answers at their hold points, and the record of who read which."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from training.bank.models import QuestionVersion
from training.content.demands import Demand, Overdue
from training.people.models import Person

DEMAND_WORDS = {
    Demand.STANDS: _("cards stand"),
    Demand.READ: _("read it again"),
    Demand.ANSWER: _("read it again and answer questions about it"),
}
OVERDUE_WORDS = {
    Overdue.DUE: _("the card is due"),
    Overdue.STOPS: _("the card stops"),
}


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
    awaits_file = models.BooleanField(
        default=False, help_text=_("written on the site, and not yet held by the files of content")
    )
    # Frozen with the text: what holders of a card that names the module are asked to do, and by when.
    demand = models.CharField(
        _("asked of card holders"),
        max_length=8,
        choices=[(one.value, words) for one, words in DEMAND_WORDS.items()],
        default=Demand.STANDS,
    )
    due_on = models.DateField(_("to be done by the end of"), null=True, blank=True)
    overdue = models.CharField(
        _("when it is not done"),
        max_length=8,
        blank=True,
        choices=[(one.value, words) for one, words in OVERDUE_WORDS.items()],
    )
    questions = models.JSONField(default=list, blank=True, help_text=_("keys of the questions to be answered"))

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["module", "number"],
                name="training_revision_number_once",
                violation_error_message=_("This module already has a revision of that number."),
            ),
            models.CheckConstraint(
                condition=Q(demand=Demand.STANDS, due_on__isnull=True, overdue="")
                | Q(
                    demand__in=[Demand.READ, Demand.ANSWER],
                    due_on__isnull=False,
                    overdue__in=[one.value for one in Overdue],
                ),
                name="training_revision_asks_by_a_day",
                violation_error_message=_("What is asked of card holders has a last day and says what follows it."),
            ),
            models.CheckConstraint(
                condition=Q(demand=Demand.STANDS) | Q(number__gt=1),
                name="training_revision_first_asks_nothing",
                violation_error_message=_("A first issue asks nothing of card holders: nobody has read another one."),
            ),
        ]
        # Few revisions ask for anything, and each card of a list is asked about those that do.
        indexes: ClassVar = [models.Index(fields=["due_on"], name="training_revision_due")]

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


class HoldAnswer(models.Model):
    """A try at a question at a hold point, kept as it was asked and answered. It carries no mark."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="hold_answers")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="hold_answers")
    step = models.SlugField(max_length=80)
    words = models.CharField(max_length=64, help_text=_("fingerprint of the step as it read"))
    question_version = models.ForeignKey(QuestionVersion, models.PROTECT, related_name="hold_answers")
    turn = models.PositiveSmallIntegerField()
    given = models.JSONField()
    told = models.JSONField(help_text=_("the question with the answer as read, the right one and the working"))
    is_right = models.BooleanField()
    answered_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "revision", "step", "question_version", "turn"],
                name="training_holdanswer_turn_once",
                violation_error_message=_("This try is already on record."),
            )
        ]
        indexes: ClassVar = [models.Index(fields=["person", "revision"])]

    def __str__(self) -> str:
        return f"{self.person_id} at {self.step}, try {self.turn}"
