"""Signed practicals, their test bonds, declared exceptions, and decisions."""

import uuid
from datetime import timedelta
from typing import Any, ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.schemes.models import Scheme, SchemeIssue
from certs.signoffs.rules import Again, Confirmed, Fault, Look, Objection, Slip, Tool
from training.people.models import Person
from training.quizzes.models import Sitting

# Said to the person who may not sign, with what they can do about it.
OBJECTION_WORDS = {
    Objection.ONESELF: _("Nobody signs for themself: another assessor must."),
    Objection.CLOSED: _("Your account is closed, so you cannot sign."),
    Objection.CANDIDATE_CLOSED: _("The candidate's account is closed."),
    Objection.NOT_ASSESSOR: _("You do not hold 'may assess' under this scheme on that day."),
    Objection.TRAINED: _(
        "You trained %(candidate)s up to %(trained_to)s, so you may assess from %(free_from)s. Until then another "
        "assessor signs, or you declare an exception and a third person approves it."
    ),
    Objection.NOT_APPROVED: _(
        "You trained %(candidate)s up to %(trained_to)s. Your exception waits for a third person's approval."
    ),
    Objection.PAPER: _("%(candidate)s has not passed the paper of this scheme."),
    Objection.UNREAD: _("%(candidate)s has not read the revision in force of: %(unread)s."),
    Objection.SIGNED: _("This practical is signed already. Open the record, and correct it there if it is wrong."),
    Objection.NO_NEED: _("You need no exception: you did not train this candidate within the last 24 months."),
}
DECISION_WORDS = {
    **OBJECTION_WORDS,
    Objection.ONESELF: _("Nobody decides about their own card."),
    Objection.CLOSED: _("Your account is closed, so you cannot decide."),
    Objection.NOT_DECIDER: _("You do not hold 'may decide' under this scheme today."),
    Objection.ASSESSED: _("You assessed this candidate: the decision is another person's."),
    Objection.TRAINED: _("You trained %(candidate)s up to %(trained_to)s, so you may decide from %(free_from)s."),
    Objection.NOT_PASSED: _("This practical was not passed, so there is nothing to decide."),
    Objection.NO_DECISION: _("Under this scheme the signature leads straight to the card."),
    Objection.DECIDED: _("The decision is on record already."),
    Objection.REPLACED: _("This record was corrected: decide about the one that replaces it."),
}
APPROVAL_WORDS = {
    Objection.ONESELF: _("Nobody approves an exception about themself."),
    Objection.ASSESSED: _("An exception is approved by a third person, not by the assessor who asks for it."),
    Objection.CLOSED: _("Your account is closed, so you cannot approve."),
    Objection.NOT_DECIDER: _("A trainer or an administrator of the certification body approves exceptions."),
}
FAULT_WORDS = {
    Fault.LOOKS: _("does not look good all round"),
    Fault.HAMMER: _("did not hold in the hammer test"),
    Fault.NO_GO: _("pack below the floor: no go"),
    Fault.UNPROVEN: _("pack not proven above the floor: rest it, charge it or use a better meter"),
    Fault.TOO_HIGH: _("joint above the limit"),
    Fault.TOO_LOW: _("joint below 10 µΩ: the points did not straddle it, measure again"),
}
LOOK_WORDS = {
    Look.RING: _("Braze ring whole, smooth and bright all round"),
    Look.WETTED: _("Braze has wetted the lug and the steel"),
    Look.SOUND: _("No gap, hole or crack"),
    Look.CENTRED: _("Pin upright in the middle, lug not burnt thin"),
}
AGAIN_WORDS = {
    Again.FIRST: _("First shot"),
    Again.REPEATED: _("Made again on a new spot"),
    Again.REPAIRED: _("Made again after a repair of the gun"),
}
TOOL_WORDS = {
    Tool.VOLT: _("Voltmeter for the pack"),
    Tool.SET: _("Four-wire set"),
    Tool.SPARE: _("Second voltmeter"),
}
CONFIRMED_WORDS = {
    Confirmed.PASSWORD: _("with their own password"),
    Confirmed.BOX: _("by the box that names them, beside the assessor"),
}
SLIP_WORDS = {
    Slip.FUTURE: _("Give today or an earlier day: a practical is signed after it was seen."),
    Slip.LATE: _("This day is more than 31 days ago. Check the year; after so long the practical is seen again."),
    Slip.METER: _("The meter's calibration had run out on that day: measure again with one in date."),
    Slip.BONDS: _("This scheme asks for more test bonds. Press Add a bond and fill it in."),
    Slip.REASON: _("Say why the bond was made again: what was wrong with the one before."),
    Slip.ORDER: _("Forward must read higher than reversed. Check the signs, or swap the voltage leads and read again."),
    Slip.UNCONFIRMED: _("The candidate ticks this box, nobody else."),
}


class AssessorException(models.Model):
    """A declared exception: an assessor who trained the candidate may sign, and why that is safe."""

    candidate = models.ForeignKey(Person, models.PROTECT, related_name="+")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="exceptions")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="+")
    why = models.TextField(_("why nobody else can assess"))
    safeguard = models.TextField(_("safeguard"))
    asked_at = models.DateTimeField()
    approved_by = models.ForeignKey(Person, models.PROTECT, related_name="+", null=True, blank=True)
    approved_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(assessor=F("candidate")),
                name="certs_exception_not_oneself",
                violation_error_message=_("Nobody signs for themself, exception or not."),
            ),
            models.CheckConstraint(
                condition=Q(approved_by__isnull=True, approved_at__isnull=True)
                | (
                    Q(approved_by__isnull=False, approved_at__isnull=False)
                    & ~Q(approved_by=F("assessor"))
                    & ~Q(approved_by=F("candidate"))
                ),
                name="certs_exception_third_person",
                violation_error_message=_("An exception is approved by a third person."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.assessor_id} for {self.candidate_id}"


class NotEdited(TypeError):
    """A kept row was about to be changed or deleted."""


class ReceivedSheet(models.Model):
    """A filled sheet as a device sent it: kept with its bytes' digest, never edited; signing it is another act.

    `body` holds the fields as they were typed, `reading` the sheet that was read from them, `digest` is the SHA-256 of
    the bytes that came. `made_by` is who sent them, `assessor` who saw the practical: another person only where a sheet
    on paper was typed in afterwards.
    """

    id = models.UUIDField(primary_key=True, editable=False)
    candidate = models.ForeignKey(Person, models.PROTECT, related_name="sheets")
    scheme_issue = models.ForeignKey(SchemeIssue, models.PROTECT, related_name="sheets")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="sheets_seen")
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="sheets_made")
    on_paper = models.BooleanField(_("filled in on paper, entered afterwards"), default=False)
    assessed_on = models.DateField(_("day of the practical"))
    body = models.JSONField()
    reading = models.JSONField()
    digest = models.CharField(max_length=64)
    phone_time = models.DateTimeField()
    received_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(on_paper=True) | Q(made_by=F("assessor")),
                name="certs_receivedsheet_by_who_saw",
                violation_error_message=_("Only a sheet filled in on paper is entered by somebody else."),
            )
        ]
        indexes: ClassVar = [models.Index(fields=["assessor", "phone_time"])]

    def __str__(self) -> str:
        return str(self.id)

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Keep a new sheet; one that is kept is never edited."""
        if not self._state.adding:
            raise NotEdited
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse: evidence stays."""
        raise NotEdited

    @property
    def clock_off(self) -> timedelta:
        """How far the phone's clock and the way here lie behind the server's clock."""
        return self.received_at - self.phone_time


class DoAgain(models.Model):
    """An assessor's refusal to sign a sheet, with its reason: the practical is done again."""

    sheet = models.OneToOneField(ReceivedSheet, models.PROTECT, related_name="do_again")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    reason = models.TextField(_("reason"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="certs_doagain_has_reason",
                violation_error_message=_("Say why: the candidate reads it, and does the practical again."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.sheet_id} again"


class Signoff(models.Model):
    """A practical as it was signed; corrected by a new one that names the old, never edited."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(Person, models.PROTECT, related_name="signoffs")
    scheme_issue = models.ForeignKey(SchemeIssue, models.PROTECT, related_name="signoffs")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="signoffs_given")
    sitting = models.ForeignKey(Sitting, models.PROTECT, related_name="signoffs")
    exception = models.ForeignKey(AssessorException, models.PROTECT, related_name="signoffs", null=True, blank=True)
    replaces = models.OneToOneField("self", models.PROTECT, related_name="replaced_by", null=True, blank=True)
    sheet = models.OneToOneField(ReceivedSheet, models.PROTECT, related_name="signoff", null=True, blank=True)
    assessed_on = models.DateField(_("day of the practical"))
    signed_at = models.DateTimeField()
    place = models.CharField(_("place"), max_length=120)
    air_c = models.DecimalField(_("air temperature, °C"), max_digits=4, decimal_places=1)
    leads_in = models.BooleanField(_("both leads in the circuit"))
    meter = models.CharField(_("meter, serial number"), max_length=60)
    calibrated_until = models.DateField(_("meter calibration good to"))
    instruments = models.JSONField(default=list, help_text=_("each instrument: tool, serial, until"))
    started = models.TimeField(_("start"), null=True, blank=True)
    stopped = models.TimeField(_("end"), null=True, blank=True)
    pauses = models.JSONField(default=list, help_text=_("each interruption: begun, ended, why"))
    confirmed = models.CharField(
        _("how the candidate confirmed"),
        max_length=10,
        blank=True,
        choices=[(one.value, CONFIRMED_WORDS[one]) for one in Confirmed],
    )
    checks = models.JSONField(help_text=_("each observed check: slug, step, text, critical, weight, seen"))
    remarks = models.TextField(_("remarks"), blank=True)
    limit_uohm = models.DecimalField(max_digits=8, decimal_places=1)
    limit_source = models.TextField()
    passed = models.BooleanField(_("passed"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(assessor=F("person")),
                name="certs_signoff_not_oneself",
                violation_error_message=_("Nobody signs their own practical: another assessor must."),
            ),
            models.CheckConstraint(
                condition=Q(calibrated_until__gte=F("assessed_on")),
                name="certs_signoff_meter_in_date",
                violation_error_message=_(
                    "The meter's calibration had run out on that day: measure again with one in date."
                ),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["person", "scheme_issue", "-signed_at"])]

    def __str__(self) -> str:
        return str(self.id)


class TestBond(models.Model):
    """One bond of a practical, with what was read and what was computed from it."""

    signoff = models.ForeignKey(Signoff, models.PROTECT, related_name="bonds")
    position = models.PositiveSmallIntegerField()
    spot = models.CharField(_("position"), max_length=60, blank=True)
    pin_lot = models.CharField(_("pin lot"), max_length=40)
    meter = models.CharField(_("meter of the pack"), max_length=60, blank=True)
    air_c = models.DecimalField(_("air temperature, °C"), max_digits=4, decimal_places=1, null=True)
    cell_c = models.DecimalField(_("cell temperature, °C"), max_digits=4, decimal_places=1, null=True)
    leads_in = models.BooleanField(_("both leads in the circuit"), null=True)
    burn = models.CharField(_("burn setting"), max_length=40, blank=True)
    looks = models.JSONField(_("what the eye found good"), default=list)
    again = models.CharField(
        _("made again"), max_length=10, choices=[(one.value, AGAIN_WORDS[one]) for one in Again], default=Again.FIRST
    )
    why = models.CharField(_("why it was made again"), max_length=200, blank=True)
    pack_v = models.DecimalField(_("pack at rest, V"), max_digits=5, decimal_places=2)
    visual_good = models.BooleanField(_("looks good all round"))
    hammer_good = models.BooleanField(_("held in the hammer test"))
    forward_uv = models.DecimalField(_("forward reading, µV"), max_digits=8, decimal_places=1)
    reversed_uv = models.DecimalField(_("reversed reading, µV"), max_digits=8, decimal_places=1)
    current_a = models.DecimalField(_("measuring current, A"), max_digits=6, decimal_places=2)
    joint_uohm = models.DecimalField(_("joint, µΩ"), max_digits=9, decimal_places=2)
    good = models.BooleanField(_("within the limit and good"))

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["signoff", "position"],
                name="certs_testbond_place_once",
                violation_error_message=_("This practical already has a bond of that number."),
            ),
            models.CheckConstraint(
                condition=Q(current_a__gt=0),
                name="certs_testbond_current_above_zero",
                violation_error_message=_("Give the measuring current in amperes, above zero."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.signoff_id} bond {self.position}"


class Decision(models.Model):
    """Grant or refusal by a named person who neither trained nor assessed the candidate."""

    signoff = models.OneToOneField(Signoff, models.PROTECT, related_name="decision")
    by = models.ForeignKey(Person, models.PROTECT, related_name="decisions")
    at = models.DateTimeField()
    granted = models.BooleanField()
    reasons = models.TextField(_("reasons"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~Q(reasons=""),
                name="certs_decision_has_reasons",
                violation_error_message=_("Write the reasons: they stay on the record."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.signoff_id} {'granted' if self.granted else 'refused'}"
