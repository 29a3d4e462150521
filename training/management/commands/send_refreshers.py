"""Mail the refreshers that are due to those who asked for it: at most one mail a day a person."""

from argparse import ArgumentParser
from smtplib import SMTPException
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.management.base import BaseCommand, CommandError
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from training.refreshers import operations, queries
from training.refreshers.queries import Letter


class Command(BaseCommand):
    """`send_refreshers [--dry-run]`: run it once a day."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether to say only what would be sent."""
        parser.add_argument("--dry-run", action="store_true", help="say who would get a mail; write and send nothing")

    def handle(self, *args: Any, dry_run: bool, **options: Any) -> None:
        """Write each reminder down, send it, note that it left; go on after a mail that would not leave."""
        at, sent, failed = timezone.now(), 0, []
        for letter in queries.letters(at=at):
            slugs = [topic.slug for topic in letter.topics]
            if dry_run:
                self.stdout.write(f"{letter.person.username}: {', '.join(slugs)}")
                continue
            reminder = operations.write_reminder(person=letter.person, topics=slugs, on=letter.on, at=at)
            if reminder is None:
                continue
            try:
                message(letter).send()
            except (OSError, SMTPException) as error:
                failed.append(f"{letter.person.username}: {error}")
                continue
            operations.mark_sent(reminder=reminder, at=timezone.now())
            sent += 1
        self.stdout.write(f"{sent} sent, {len(failed)} not sent.")
        if failed:
            raise CommandError("These did not leave, and get no other mail today:\n" + "\n".join(failed))


def message(letter: Letter) -> EmailMessage:
    """Return the mail in its reader's language."""
    with translation.override(letter.language):
        context = {"letter": letter, "site": settings.SITE_URL}
        body = render_to_string("training/refreshers/mail.txt", context)
        return EmailMessage(str(_("Refreshers are due")), body, to=[letter.person.email])
