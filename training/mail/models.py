"""Mails that have not left yet."""

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _


class UnsentMail(models.Model):
    """A mail as it is to be read, until it has left; then the row is deleted."""

    # Named, not imported: people are a room above. The address is the one of the moment it leaves.
    person = models.ForeignKey("training.Person", models.CASCADE, related_name="unsent_mails")
    subject = models.CharField(max_length=200)
    body = models.TextField()
    written_at = models.DateTimeField(_("written"))
    tried_at = models.DateTimeField(_("last tried"))

    class Meta:
        verbose_name = _("mail that waits")
        verbose_name_plural = _("mails that wait")
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(tried_at__gte=models.F("written_at")),
                name="training_unsent_tried_after_written",
                violation_error_message=_("A mail is tried after it is written."),
            ),
        ]

    def __str__(self) -> str:
        return self.subject
