"""Who answers the questions of a revision, and who has."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.people.models import Person
from training.procedures.models import Revision


class Bridge(models.Model):
    """One person's way over the questions of a revision: asked in turns until each was answered right, never marked.

    `asked` holds the questions of the turn as drawn, what is shown beside what is sealed; the seed explains them.
    """

    person = models.ForeignKey(Person, models.PROTECT, related_name="bridges")
    revision = models.ForeignKey(Revision, models.PROTECT, related_name="bridges")
    seed = models.CharField(max_length=64)
    turn = models.PositiveSmallIntegerField(default=1)
    asked = models.JSONField(default=list, blank=True)
    opened_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "revision"],
                name="training_bridge_once",
                violation_error_message=_("The questions of this revision are already open. Go on with those."),
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True) | Q(answered_at__gte=F("opened_at")),
                name="training_bridge_answered_after_opened",
                violation_error_message=_("Questions cannot be answered before they were opened."),
            ),
            models.CheckConstraint(
                condition=Q(turn__gte=1),
                name="training_bridge_turns_from_one",
                violation_error_message=_("The first turn is number 1."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} over {self.revision_id}"
