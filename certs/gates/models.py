"""The tokens that gates and other systems ask with."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from training.people.models import Employer, Person


class GateToken(models.Model):
    """A token of one employer: shown once, kept as a hash, found by its handle. A revoked one stays in the list."""

    employer = models.ForeignKey(Employer, models.PROTECT, related_name="gate_tokens")
    name = models.CharField(_("name"), max_length=60)
    handle = models.CharField(max_length=8, unique=True)
    digest = models.CharField(max_length=64)
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    used_on = models.DateField(_("last used"), null=True, blank=True)
    revoked_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["employer", "name"],
                condition=Q(revoked_at__isnull=True),
                name="certs_gatetoken_name_once",
                violation_error_message=_("A token of that name is in use: choose another name, or revoke it first."),
            ),
            models.CheckConstraint(
                condition=Q(revoked_at__isnull=True, revoked_by__isnull=True)
                | Q(revoked_at__isnull=False, revoked_by__isnull=False),
                name="certs_gatetoken_revoked_by_somebody",
                violation_error_message=_("Whoever revokes a token is written down with the moment."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.handle} {self.name}"
