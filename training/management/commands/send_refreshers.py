"""Mail the refreshers that are due to those who asked for it: at most one mail a day a person."""

from argparse import ArgumentParser
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.management.base import BaseCommand, CommandError
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from training.mail.operations import Post, deliver
from training.refreshers import operations, queries
from training.refreshers.models import Reminder
from training.refreshers.queries import Letter


class Command(BaseCommand):
    """`send_refreshers [--dry-run]`: run it once a day."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether to say only what would be sent."""
        parser.add_argument("--dry-run", action="store_true", help="say who would get a mail; write and send nothing")

    def handle(self, *args: Any, dry_run: bool, **options: Any) -> None:
        """Write each reminder down, send it, note that it left; go on after a mail that would not leave."""
        at = timezone.now()
        found = queries.letters(at=at)
        if dry_run:
            for letter in found:
                self.stdout.write(f"{letter.person.username}: {', '.join(topic.slug for topic in letter.topics)}")
        done = deliver(() if dry_run else (post(letter, at=at) for letter in found))
        self.stdout.write(done.words)
        if done.failed:
            raise CommandError("These did not leave, and get no other mail today:\n" + "\n".join(done.failed))


def post(letter: Letter, *, at: datetime) -> Post:
    """Return a letter with what is done before and after it leaves; one that failed stays written, and is let go."""
    written: list[Reminder] = []

    def write() -> bool:
        slugs = [topic.slug for topic in letter.topics]
        made = operations.write_reminder(person=letter.person, topics=slugs, on=letter.on, at=at)
        written.extend([made] if made else [])
        return bool(made)

    return Post(
        to=letter.person.username,
        write=write,
        message=lambda: message(letter),
        sent=lambda: operations.mark_sent(reminder=written[0], at=timezone.now()),
        failed=lambda: None,
    )


def message(letter: Letter) -> EmailMessage:
    """Return the mail in its reader's language."""
    with translation.override(letter.person.reads):
        context = {"letter": letter, "site": settings.SITE_URL}
        body = render_to_string("training/refreshers/mail.txt", context)
        return EmailMessage(str(_("Refreshers are due")), body, to=[letter.person.email])
