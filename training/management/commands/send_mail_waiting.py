"""Send the mails that did not leave when they were written."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from training.mail.operations import send_waiting


class Command(BaseCommand):
    """`send_mail_waiting`: run it every five minutes."""

    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        """Try each; a server that is away is no failure of the round, the page of safe keeping says how long."""
        left, waiting = send_waiting(at=timezone.now())
        self.stdout.write(f"{left} sent, {waiting} waiting.")
