"""Schemes, their frozen issues, who may act under them, and who trained whom."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.schemes.rules import Act
from training.people.models import Dated, Person

ACT_WORDS = {
    Act.TRAINS: _("may train"),
    Act.ASSESSES: _("may assess"),
    Act.DECIDES: _("may decide"),
}


class Scheme(models.Model):
    """A kind of card under its lasting name."""

    slug = models.SlugField(unique=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.slug


class SchemeIssue(models.Model):
    """One issue of a scheme's demands, never edited once loaded."""

    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="issues")
    number = models.PositiveIntegerField()
    title = models.CharField(max_length=120)
    body = models.JSONField(help_text=_("the scheme as loaded, in the shape of training.content"))
    digest = models.CharField(max_length=64)
    loaded_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["scheme", "number"],
                name="certs_schemeissue_number_once",
                violation_error_message=_("This scheme already has an issue of that number."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.scheme_id} issue {self.number}"


class Authority(Dated):
    """A person's permission to train, assess or decide under one scheme, with dates."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="authorities")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="authorities")
    act = models.CharField(_("permission"), max_length=10, choices=[(a.value, w) for a, w in ACT_WORDS.items()])
    granted_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    granted_at = models.DateTimeField()

    class Meta(Dated.Meta):
        constraints: ClassVar = [
            *Dated.Meta.constraints,
            models.UniqueConstraint(
                fields=["person", "scheme", "act", "from_on"],
                name="certs_authority_once_a_day",
                violation_error_message=_("This person already has that permission from that day."),
            ),
            models.CheckConstraint(
                condition=Q(act__in=[act.value for act in Act]),
                name="certs_authority_known_act",
                violation_error_message=_("Choose one of the permissions in the list."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.act} {self.scheme_id}"


class TrainingAct(models.Model):
    """A trainer's statement that they trained a candidate, up to a day."""

    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="training_acts")
    trainer = models.ForeignKey(Person, models.PROTECT, related_name="training_given")
    candidate = models.ForeignKey(Person, models.PROTECT, related_name="training_received")
    ended_on = models.DateField(_("last day of training"))
    recorded_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(trainer=F("candidate")),
                name="certs_trainingact_not_oneself",
                violation_error_message=_("Nobody trains themself: choose another person."),
            ),
            models.UniqueConstraint(
                fields=["scheme", "trainer", "candidate", "ended_on"],
                name="certs_trainingact_once",
                violation_error_message=_("This training is already on record."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.trainer_id} trained {self.candidate_id} to {self.ended_on}"
