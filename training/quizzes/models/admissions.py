"""A person at the door of a paper: the rules agreed to, the identity confirmed, then the sitting."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.people.models import Person
from training.quizzes.models.papers import Paper
from training.quizzes.models.sittings import Sitting


class Admission(models.Model):
    """Consent to the rules of a paper and, where it is invigilated, who confirmed the candidate's identity."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="admissions")
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="admissions")
    agreed_at = models.DateTimeField()
    invigilator = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="admitted")
    admitted_at = models.DateTimeField(null=True, blank=True)
    sitting = models.OneToOneField(Sitting, models.PROTECT, null=True, blank=True, related_name="admission")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "paper"],
                condition=Q(sitting__isnull=True),
                name="training_admission_one_waiting",
                violation_error_message=_("You already wait to sit this paper."),
            ),
            models.CheckConstraint(
                condition=Q(invigilator__isnull=True, admitted_at__isnull=True)
                | Q(invigilator__isnull=False, admitted_at__isnull=False, admitted_at__gte=F("agreed_at")),
                name="training_admission_confirmed_by_someone",
                violation_error_message=_("An identity is confirmed by someone, after the rules were agreed to."),
            ),
            models.CheckConstraint(
                condition=Q(invigilator__isnull=True) | ~Q(invigilator=F("person")),
                name="training_admission_not_oneself",
                violation_error_message=_("Nobody confirms their own identity."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} to {self.paper_id}"
