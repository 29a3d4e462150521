"""Second markings of signed practicals."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.agreement.rules import How, Objection
from certs.signoffs.models import Signoff
from training.ledger.models import Kept
from training.people.models import Person

HOW_WORDS = {
    How.RECORD: _("from the record: sheet and photos"),
    How.RAIL: _("at the rail, beside the first assessor"),
}
OBJECTION_WORDS = {
    Objection.CANDIDATE: _("Nobody marks their own practical."),
    Objection.FIRST: _("You signed it as its assessor, so another person marks it again."),
    Objection.NOT_ASSESSOR: _("You do not hold 'may assess' under this scheme today."),
    Objection.TRAINED: _("You trained this candidate within the last 24 months."),
    Objection.DECIDES: _("You read the first marks to decide about this card, so another person marks it again."),
    Objection.MARKED: _("A second assessor has marked it already."),
}


class SecondMarking(Kept):
    """What a second assessor marked without seeing the first one's marks; it changes no result."""

    signoff = models.OneToOneField(Signoff, models.PROTECT, related_name="second_marking")
    candidate = models.ForeignKey(Person, models.PROTECT, related_name="+")
    first = models.ForeignKey(Person, models.PROTECT, related_name="+")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="second_markings")
    how = models.CharField(_("marked"), max_length=8, choices=[(h.value, w) for h, w in HOW_WORDS.items()])
    marks = models.JSONField(help_text=_("by slug of the check: true, false, or null where it cannot be told"))
    remarks = models.TextField(_("remarks"), blank=True)
    marked_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(assessor=F("first")) & ~Q(assessor=F("candidate")),
                name="certs_secondmarking_by_another",
                violation_error_message=_("A practical is marked again by someone who did not sign or make it."),
            ),
            models.CheckConstraint(
                condition=Q(how__in=[how.value for how in How]),
                name="certs_secondmarking_known_how",
                violation_error_message=_("Say whether you marked from the record or at the rail."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.signoff_id} by {self.assessor_id}"
