"""Amendments of modules: what is proposed, by whom, and who decided."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.amendments import rules
from training.people.models import Person
from training.procedures.models import Module, Revision


class Amendment(models.Model):
    """A revision being written. `revision` is the one it became; a decided amendment is never changed again."""

    module = models.ForeignKey(Module, models.PROTECT, related_name="amendments")
    author = models.ForeignKey(Person, models.PROTECT, related_name="+")
    base = models.ForeignKey(Revision, models.PROTECT, related_name="+", help_text=_("the revision it began from"))
    body = models.JSONField(help_text=_("the text as typed, in the shape of training.content"))
    what_changed = models.TextField(_("what changed and why"), blank=True)
    opened_at = models.DateTimeField()
    proposed_at = models.DateTimeField(null=True, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    granted = models.BooleanField(null=True, blank=True)
    reason = models.TextField(_("why it was refused"), blank=True)
    revision = models.OneToOneField(Revision, models.PROTECT, null=True, blank=True, related_name="amendment")

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["module"],
                condition=Q(decided_at__isnull=True),
                name="training_amendment_one_open",
                violation_error_message=_("This procedure is being amended already."),
            ),
            models.CheckConstraint(
                condition=Q(decided_by__isnull=True) | ~Q(decided_by=F("author")),
                name="training_amendment_second_person",
                violation_error_message=_("Nobody decides on their own amendment. Ask a second person."),
            ),
            models.CheckConstraint(
                condition=~Q(granted__isnull=False, granted=False) | ~Q(reason=""),
                name="training_amendment_refused_for_a_reason",
                violation_error_message=_("Say why the amendment is refused."),
            ),
            models.CheckConstraint(
                condition=Q(proposed_at__isnull=True) | ~Q(what_changed=""),
                name="training_amendment_says_what_changed",
                violation_error_message=_("Say what changed and why, then propose it."),
            ),
            models.CheckConstraint(
                condition=Q(decided_at__isnull=True, decided_by__isnull=True, granted__isnull=True)
                | Q(
                    proposed_at__isnull=False,
                    decided_at__isnull=False,
                    decided_by__isnull=False,
                    granted__isnull=False,
                ),
                name="training_amendment_decided_by_someone",
                violation_error_message=_("A decision is about something proposed, and says by whom and when."),
            ),
            models.CheckConstraint(
                condition=Q(revision__isnull=False, granted__isnull=False, granted=True)
                | Q(revision__isnull=True, granted__isnull=True)
                | Q(revision__isnull=True, granted__isnull=False, granted=False),
                name="training_amendment_in_force_if_granted",
                violation_error_message=_("An approved amendment becomes a revision, and no other does."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.module_id} amended from {self.base_id}"

    @property
    def state(self) -> rules.State:
        """Where it stands."""
        return rules.state(proposed=self.proposed_at is not None, granted=self.granted)
