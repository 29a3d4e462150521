"""A roster that was brought: what was read of it until it is applied, then what undoing it needs."""

from typing import ClassVar
from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from training.people.models import Employer, Person


class Roster(models.Model):
    """One file. Its rows go when it is applied, what undoing needs goes when it cannot be undone any more."""

    id = models.UUIDField(primary_key=True, default=uuid4)
    employer = models.ForeignKey(Employer, models.PROTECT, related_name="rosters")
    brought_by = models.ForeignKey(Person, models.PROTECT, related_name="rosters_brought")
    brought_at = models.DateTimeField()
    digest = models.CharField(max_length=64, help_text=_("SHA-256 of the file"))
    is_everyone = models.BooleanField()
    # Rows as [line, [cells]], and who a line means as {line: number of the person, 0 for a new one}.
    rows = models.JSONField(default=list)
    answers = models.JSONField(default=dict)
    applied_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="rosters_applied")
    applied_at = models.DateTimeField(null=True)
    # Each person changed, with the rows made and the values of before.
    done = models.JSONField(default=list)
    counts = models.JSONField(default=dict)
    undone_at = models.DateTimeField(null=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(applied_by__isnull=True, applied_at__isnull=True)
                | Q(applied_by__isnull=False, applied_at__isnull=False),
                name="training_roster_applied_by_somebody",
                violation_error_message=_("Say who applied the roster, and when."),
            ),
            models.CheckConstraint(
                condition=Q(undone_at__isnull=True) | Q(applied_at__isnull=False),
                name="training_roster_undone_after_applied",
                violation_error_message=_("Only a roster that was applied can be undone."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.employer_id} {self.brought_at}"
