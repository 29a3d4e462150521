"""Bonds made at work, as the crew member who made them says."""

from datetime import timedelta
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from certs.schemes.models import Scheme
from certs.worklog.rules import Slip
from training.people.models import Person

SLIP_WORDS = {
    Slip.FUTURE: _("Give today or an earlier day: bonds are recorded once they are made."),
    Slip.OLD: _("This day is more than a year ago. Check the year."),
}


class WorkEntry(models.Model):
    """Some bonds made in one place on one day; never edited. The key is made where it was typed."""

    id = models.UUIDField(primary_key=True, editable=False)
    person = models.ForeignKey(Person, models.PROTECT, related_name="work_entries")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="work_entries")
    done_on = models.DateField(_("day"))
    place = models.CharField(_("place"), max_length=120)
    job = models.CharField(_("job number"), max_length=60, blank=True)
    bonds = models.PositiveIntegerField(_("bonds made"))
    air_c = models.DecimalField(_("air temperature, °C"), max_digits=4, decimal_places=1, null=True, blank=True)
    pack_c = models.DecimalField(_("pack temperature, °C"), max_digits=4, decimal_places=1, null=True, blank=True)
    pack_v = models.DecimalField(_("pack at rest, V"), max_digits=5, decimal_places=2, null=True, blank=True)
    joint_uohm = models.DecimalField(_("highest joint, µΩ"), max_digits=9, decimal_places=2, null=True, blank=True)
    phone_time = models.DateTimeField(_("kept, by the phone's clock"), null=True, blank=True)
    received_at = models.DateTimeField()
    digest = models.CharField(max_length=64, help_text=_("SHA-256 of what was received"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(bonds__gte=1),
                name="certs_workentry_some_bonds",
                violation_error_message=_("Give how many bonds were made, at least one."),
            ),
            models.CheckConstraint(
                condition=~Q(place=""),
                name="certs_workentry_has_place",
                violation_error_message=_("Give the line and the distance, or the yard."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["person", "scheme", "-done_on"])]

    def __str__(self) -> str:
        return str(self.id)

    @property
    def under_way(self) -> timedelta | None:
        """How long after it was kept on the phone it came, by both clocks; below zero when the phone's runs ahead."""
        return self.received_at - self.phone_time if self.phone_time else None
