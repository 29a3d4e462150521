"""Appeals: what a candidate asks about a marked paper, who looks at it again, and the answer."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.people.models import Person
from training.quizzes.models import Remark, Sitting, SittingItem
from training.reviews import rules
from training.reviews.rules import State, Wish

WISH_WORDS = {
    Wish.QUESTION: _("the mark of a question"),
    Wish.CONDUCT: _("how the paper was held"),
}
STATE_WORDS = {
    State.ASKED: _("asked"),
    State.LOOKED_AT: _("being looked at"),
    State.ANSWERED: _("answered"),
}


class Appeal(models.Model):
    """A candidate's request to look at a paper again; its owner had no part in it. An answered one never changes."""

    sitting = models.ForeignKey(Sitting, models.PROTECT, related_name="appeals")
    candidate = models.ForeignKey(Person, models.PROTECT, related_name="appeals")
    wish = models.CharField(
        _("what is asked about"), max_length=10, choices=[(w.value, t) for w, t in WISH_WORDS.items()]
    )
    item = models.ForeignKey(SittingItem, models.PROTECT, related_name="appeals", null=True, blank=True)
    reason = models.TextField(_("reason"))
    asked_at = models.DateTimeField()
    owner = models.ForeignKey(Person, models.PROTECT, related_name="appeals_owned", null=True, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    upheld = models.BooleanField(null=True, blank=True)
    answer = models.TextField(_("answer"), blank=True)
    remark = models.OneToOneField(Remark, models.PROTECT, related_name="appeal", null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["sitting", "item"],
                condition=Q(answered_at__isnull=True, item__isnull=False),
                name="training_appeal_one_open_a_question",
                violation_error_message=_("You asked about this question already. Wait for the answer."),
            ),
            models.UniqueConstraint(
                fields=["sitting"],
                condition=Q(answered_at__isnull=True, item__isnull=True),
                name="training_appeal_one_open_a_paper",
                violation_error_message=_("You asked about this paper already. Wait for the answer."),
            ),
            models.CheckConstraint(
                condition=Q(wish=Wish.QUESTION, item__isnull=False) | Q(wish=Wish.CONDUCT, item__isnull=True),
                name="training_appeal_names_its_question",
                violation_error_message=_("Name the question whose mark is asked about."),
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="training_appeal_has_reason",
                violation_error_message=_("Say why it is to be looked at again."),
            ),
            models.CheckConstraint(
                condition=Q(owner__isnull=True, taken_at__isnull=True)
                | (Q(owner__isnull=False, taken_at__isnull=False) & ~Q(owner=F("candidate"))),
                name="training_appeal_owned_by_another",
                violation_error_message=_("Nobody looks at their own paper again. Another person takes it."),
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True, upheld__isnull=True, answer="", remark__isnull=True)
                | (Q(answered_at__isnull=False, upheld__isnull=False, owner__isnull=False) & ~Q(answer="")),
                name="training_appeal_answered_in_words",
                violation_error_message=_("An answer comes from its owner, and gives the reason in words."),
            ),
            models.CheckConstraint(
                condition=Q(remark__isnull=True) | Q(upheld__isnull=False, upheld=True),
                name="training_appeal_marked_again_if_upheld",
                violation_error_message=_("A new mark is given only where the candidate was right to ask."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.candidate_id} about {self.sitting_id}"

    @property
    def state(self) -> State:
        """Where it stands."""
        return rules.state(taken=self.taken_at is not None, answered=self.answered_at is not None)

    @property
    def is_free(self) -> bool:
        """Whether nobody looks at it: it was not taken, or its owner's account was closed before the answer."""
        return self.answered_at is None and (self.owner is None or not self.owner.is_active)

    @property
    def state_words(self) -> str:
        """Where it stands, in words."""
        return str(STATE_WORDS[self.state])
