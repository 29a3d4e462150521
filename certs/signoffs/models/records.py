"""Signed practicals, their test bonds, declared exceptions, and decisions."""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from certs.schemes.models import Scheme, SchemeIssue
from certs.signoffs.models.sheets import ReceivedSheet
from certs.signoffs.models.words import AGAIN_WORDS, CONFIRMED_WORDS
from certs.signoffs.rules import Again, Confirmed
from training.people.models import Person
from training.quizzes.models import Sitting


class AssessorException(models.Model):
    """A declared exception: an assessor who trained the candidate may sign once a third person approves it.

    `why` and `safeguard` are the assessor's words, `refusal` those of a third person who refuses it.
    """

    candidate = models.ForeignKey(Person, models.PROTECT, related_name="+")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="exceptions")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="+")
    why = models.TextField(_("why nobody else can assess"))
    safeguard = models.TextField(_("safeguard"))
    asked_at = models.DateTimeField()
    approved_by = models.ForeignKey(Person, models.PROTECT, related_name="+", null=True, blank=True)
    approved_at = models.DateTimeField(null=True, blank=True)
    refused_by = models.ForeignKey(Person, models.PROTECT, related_name="+", null=True, blank=True)
    refused_at = models.DateTimeField(null=True, blank=True)
    refusal = models.TextField(_("why it is refused"), blank=True)

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
            models.CheckConstraint(
                condition=Q(refused_by__isnull=True, refused_at__isnull=True, refusal="")
                | (
                    Q(refused_by__isnull=False, refused_at__isnull=False, approved_at__isnull=True)
                    & ~Q(refusal="")
                    & ~Q(refused_by=F("assessor"))
                    & ~Q(refused_by=F("candidate"))
                ),
                name="certs_exception_refused_with_reason",
                violation_error_message=_("An exception is refused by a third person, who says why, or approved."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.assessor_id} for {self.candidate_id}"


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
