"""New marks of sittings that were handed in; those of the hand-in stay beside them for ever."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.bank.models import Correction
from training.ledger.models import Kept
from training.people.models import Person
from training.quizzes.models.sittings import PartMark, Sitting


class Remark(Kept):
    """A sitting marked again: what it counted for before and what since, by whom and why. The last one counts.

    A row is never changed; a mark that was wrong again is followed by the next row.
    """

    sitting = models.ForeignKey(Sitting, models.PROTECT, related_name="remarks")
    number = models.PositiveSmallIntegerField()
    correction = models.ForeignKey(Correction, models.PROTECT, related_name="remarks", null=True, blank=True)
    was_numerator = models.PositiveIntegerField()
    was_denominator = models.PositiveIntegerField()
    was_passed = models.BooleanField()
    earned_numerator = models.PositiveIntegerField()
    earned_denominator = models.PositiveIntegerField()
    passed = models.BooleanField()
    short = models.JSONField(default=list, blank=True, help_text=_("topics that fall short, where each must pass"))
    reason = models.TextField(_("why it is marked again"))
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["sitting", "number"],
                name="training_remark_number_once",
                violation_error_message=_("This paper was marked again just now. Look at it again."),
            ),
            models.UniqueConstraint(
                fields=["sitting", "correction"],
                condition=Q(correction__isnull=False),
                name="training_remark_once_a_correction",
                violation_error_message=_("This correction has marked this paper again already."),
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1, was_denominator__gte=1, earned_denominator__gte=1),
                name="training_remark_is_a_mark",
                violation_error_message=_("A new mark has a number from 1, and is counted in whole parts."),
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="training_remark_has_reason",
                violation_error_message=_("Say why the paper is marked again."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sitting_id} marked again, {self.number}"


class RemarkedPart(Kept):
    """The new mark of one part of one question."""

    remark = models.ForeignKey(Remark, models.PROTECT, related_name="parts")
    mark = models.ForeignKey(PartMark, models.PROTECT, related_name="again")
    share_numerator = models.PositiveIntegerField()
    share_denominator = models.PositiveIntegerField()
    flags = models.JSONField(default=list)
    says = models.TextField(blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["remark", "mark"],
                name="training_remarkedpart_once",
                violation_error_message=_("This part is already marked again."),
            ),
            models.CheckConstraint(
                condition=Q(share_denominator__gte=1, share_numerator__lte=F("share_denominator")),
                name="training_remarkedpart_share_within_one",
                violation_error_message=_("A part earns from nothing to its whole mark."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.mark_id} again in {self.remark_id}"
