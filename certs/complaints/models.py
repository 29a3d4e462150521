"""Complaints as they were received, who brought one from outside, and every step that followed."""

from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.cards.models import Card
from certs.complaints.rules import About, Channel, Finding, Flaw, Refusal, State, Step, Tie
from training.ledger.models import Kept
from training.people.models import Person

ABOUT_WORDS = {
    About.WORK: _("the work of somebody who holds a card"),
    About.ASSESSMENT: _("how somebody was assessed"),
    About.TRAINING: _("how somebody was trained"),
    About.TREATMENT: _("how somebody was treated or served"),
}
CHANNEL_WORDS = {
    Channel.TELEPHONE: _("by telephone"),
    Channel.LETTER: _("by letter"),
    Channel.MAIL: _("by e-mail"),
    Channel.PERSON: _("in person"),
}
FINDING_WORDS = {
    Finding.UPHELD: _("The complaint is right"),
    Finding.PARTLY: _("The complaint is right in part"),
    Finding.NOT_UPHELD: _("The complaint is not right"),
}
STEP_WORDS = {
    Step.TAKEN: _("taken up"),
    Step.LAID_DOWN: _("laid down for somebody else"),
    Step.ASKED: _("asked for their side"),
    Step.SIDE: _("gave their side"),
    Step.WORD: _("said how far it is"),
    Step.FOUND: _("found"),
    Step.DONE: _("did about it"),
    Step.CLOSED: _("closed with the answer"),
    Step.PUT_RIGHT: _("put right what was written"),
}
STATE_WORDS = {
    State.WAITS: _("waits for somebody to take it up"),
    State.LOOKED_INTO: _("is being looked into"),
    State.SIDE_ASKED: _("the other side was asked"),
    State.FOUND: _("looked into, the answer is being written"),
    State.CLOSED: _("answered and closed"),
}
# The field beside which each stands, and what to do.
FLAW_WORDS = {
    Flaw.NO_CARD: ("card", _("Give the number of the card: it stands on its front. The check of a card shows it too.")),
    Flaw.OWN_CARD: ("card", _("This is your own card. Give the card of whose work it is about.")),
    Flaw.ONESELF: ("of", _("That is you. Choose who it is about, or nobody.")),
    Flaw.FUTURE: ("happened_on", _("That day is still to come. Give the day on which it happened.")),
    Flaw.NOT_YET_COME: ("came_on", _("That day is still to come. Give the day on which the complaint came.")),
}
REFUSAL_WORDS = {
    Refusal.CLOSED: _("This complaint is answered and closed. What was written wrongly is put right by a new entry."),
    Refusal.HANDLED: _("Somebody else handles this complaint."),
    Refusal.WAITS: _("Nobody handles this complaint yet. Take it up first."),
    Refusal.NOT_ASKED: _("Your side is not asked for now, or you have given it."),
    Refusal.UNHEARD: _("Ask for the other side first: nobody is found against unheard."),
    Refusal.SIDE_OPEN: _("The other side still has days to answer. Wait for it, or until those days are over."),
    Refusal.NO_FINDING: _("Write down first what came out, then close with the answer."),
}
# Said to the person who may not handle it.
TIE_WORDS = {
    Tie.COMPLAINANT: _("You complained yourself, so another person handles it."),
    Tie.COMPLAINED_OF: _("The complaint is about you, so another person handles it."),
    Tie.CLOSED: _("Your account is closed."),
    Tie.NOT_ADMINISTRATOR: _("Complaints are handled by administrators of the certification body."),
    Tie.TRAINED: _("You trained the person whose card or assessment it is about, so another person handles it."),
    Tie.ASSESSED: _("You assessed the person whose card or assessment it is about, so another person handles it."),
    Tie.EXAMINED: _("You let that person sit down to a paper, so another person handles it."),
    Tie.DECIDED: _("You decided about that person's card, so another person handles it."),
}


class Complaint(Kept):
    """What was complained about, as it was received. How it stands is told by its steps, never stored.

    Without `complainant` it came from outside, and `entered_by` wrote it down. `of` is who is complained of, where
    that is somebody on the register; `who` is a name in words. `due_on` is the day that was promised for the answer.
    """

    about = models.CharField(_("about"), max_length=10, choices=[(one.value, t) for one, t in ABOUT_WORDS.items()])
    complainant = models.ForeignKey(Person, models.PROTECT, related_name="complaints", null=True, blank=True)
    channel = models.CharField(
        _("how it came"), max_length=9, blank=True, choices=[(one.value, t) for one, t in CHANNEL_WORDS.items()]
    )
    entered_by = models.ForeignKey(Person, models.PROTECT, related_name="complaints_entered")
    card = models.ForeignKey(Card, models.PROTECT, related_name="complaints", null=True, blank=True)
    of = models.ForeignKey(Person, models.PROTECT, related_name="complaints_against", null=True, blank=True)
    who = models.CharField(_("who it is about"), max_length=120, blank=True)
    happened_on = models.DateField(_("day"), null=True, blank=True)
    place = models.CharField(_("place"), max_length=120, blank=True)
    reference = models.CharField(_("bond record, job or joint"), max_length=80, blank=True)
    what = models.TextField(_("what happened"))
    wanted = models.TextField(_("what is wanted"))
    came_on = models.DateField(_("day it came"))
    received_at = models.DateTimeField()
    due_on = models.DateField(_("answer due on"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(complainant__isnull=False, channel="", entered_by=F("complainant"))
                | Q(complainant__isnull=True, channel__in=[one.value for one in Channel]),
                name="certs_complaint_from_within_or_outside",
                violation_error_message=_("Say how a complaint from outside came."),
            ),
            models.CheckConstraint(
                condition=Q(about__in=[one.value for one in About]),
                name="certs_complaint_known_about",
                violation_error_message=_("Choose what the complaint is about."),
            ),
            models.CheckConstraint(
                condition=~Q(about=About.WORK) | Q(card__isnull=False, of__isnull=False),
                name="certs_complaint_work_names_its_card",
                violation_error_message=_("Give the number of the card of whose work it is about."),
            ),
            models.CheckConstraint(
                condition=Q(complainant__isnull=True) | Q(of__isnull=True) | ~Q(complainant=F("of")),
                name="certs_complaint_not_of_oneself",
                violation_error_message=_("Nobody complains about themself."),
            ),
            models.CheckConstraint(
                condition=~Q(what="") & ~Q(wanted=""),
                name="certs_complaint_in_words",
                violation_error_message=_("Write what happened, and what is wanted."),
            ),
            models.CheckConstraint(
                condition=Q(due_on__gte=F("came_on")),
                name="certs_complaint_due_after_it_came",
                violation_error_message=_("The answer is due after the day the complaint came."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["complainant", "-received_at"])]

    def __str__(self) -> str:
        return self.number

    @property
    def number(self) -> str:
        """The number by which it is spoken of."""
        return f"C-{self.pk:04d}"


class Outsider(models.Model):
    """Who complained from outside, and how they are reached: apart from what is kept for good, so that it can go."""

    complaint = models.OneToOneField(Complaint, models.PROTECT, related_name="outsider")
    name = models.CharField(_("from whom"), max_length=120)
    contact = models.TextField(_("how they are reached"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(name="") & ~Q(contact=""),
                name="certs_outsider_can_be_answered",
                violation_error_message=_("Say who complained, and how the answer reaches them."),
            ),
        ]

    def __str__(self) -> str:
        return f"who brought {self.complaint_id}"


class ComplaintStep(Kept):
    """One step with a complaint: dated, by a named person, never changed; what is wrong is put right by a new one.

    `asked` is whose side is asked for, up to the day `until`. `reached` says how the answer reached somebody outside.
    """

    complaint = models.ForeignKey(Complaint, models.PROTECT, related_name="steps")
    step = models.CharField(max_length=9, choices=[(one.value, words) for one, words in STEP_WORDS.items()])
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    on = models.DateField(_("day"))
    at = models.DateTimeField()
    text = models.TextField(blank=True)
    finding = models.CharField(
        max_length=10, blank=True, choices=[(one.value, words) for one, words in FINDING_WORDS.items()]
    )
    asked = models.ForeignKey(Person, models.PROTECT, related_name="complaints_asked", null=True, blank=True)
    until = models.DateField(_("asked up to"), null=True, blank=True)
    reached = models.CharField(_("how the answer reached them"), max_length=120, blank=True)
    corrects = models.ForeignKey("self", models.PROTECT, related_name="corrections", null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(step__in=[one.value for one in Step]),
                name="certs_complaintstep_known",
                violation_error_message=_("That is no step of a complaint."),
            ),
            models.CheckConstraint(
                condition=Q(step=Step.TAKEN) | ~Q(text=""),
                name="certs_complaintstep_in_words",
                violation_error_message=_("Write it in words: it stays with the complaint."),
            ),
            models.CheckConstraint(
                condition=Q(step=Step.FOUND, finding__in=[one.value for one in Finding])
                | (~Q(step=Step.FOUND) & Q(finding="")),
                name="certs_complaintstep_finding",
                violation_error_message=_("Say whether the complaint is right, in part or not."),
            ),
            models.CheckConstraint(
                condition=Q(step=Step.ASKED, asked__isnull=False, until__isnull=False)
                | (~Q(step=Step.ASKED) & Q(asked__isnull=True, until__isnull=True)),
                name="certs_complaintstep_asked_whom",
                violation_error_message=_("Say whose side is asked for, and up to which day."),
            ),
            models.CheckConstraint(
                condition=Q(step=Step.PUT_RIGHT, corrects__isnull=False)
                | (~Q(step=Step.PUT_RIGHT) & Q(corrects__isnull=True)),
                name="certs_complaintstep_corrects",
                violation_error_message=_("Say which entry is put right."),
            ),
            models.UniqueConstraint(
                fields=["complaint"],
                condition=Q(step=Step.CLOSED),
                name="certs_complaintstep_closed_once",
                violation_error_message=_("This complaint is closed already."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["step", "complaint"], name="certs_complaintstep_of_kind")]

    def __str__(self) -> str:
        return f"{self.complaint_id} {self.step}"
