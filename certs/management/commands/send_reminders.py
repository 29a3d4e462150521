"""Mail holders and their supervisors about cards: what runs out, what is to be confirmed, what was done to a card."""

from argparse import ArgumentParser
from datetime import datetime
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.management.base import BaseCommand, CommandError
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from certs.notices import operations
from certs.notices.models import Notice
from certs.notices.queries import Letter, letters
from training.mail.operations import Post, deliver


class Command(BaseCommand):
    """`send_reminders [--dry-run]`: run it once a day, or more often."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether to say only what would be sent."""
        parser.add_argument("--dry-run", action="store_true", help="say who would get a mail; write and send nothing")

    def handle(self, *args: Any, dry_run: bool, **options: Any) -> None:
        """Write each notice down, send it, note that it left; what did not leave is sent by the next run."""
        at = timezone.now()
        found = letters(at=at)
        if dry_run:
            for letter in found:
                said = ", ".join(f"{one.card.number} {one.kind} {one.due}" for one in letter.items)
                self.stdout.write(f"{letter.person.username}: {said}")
        done = deliver(() if dry_run else (post(letter, at=at) for letter in found))
        self.stdout.write(done.words)
        if done.failed:
            raise CommandError("These did not leave; the next run sends them:\n" + "\n".join(done.failed))


def post(letter: Letter, *, at: datetime) -> Post:
    """Return a letter with what is done before and after it leaves."""
    written: list[Notice] = []

    def write() -> bool:
        written.extend(operations.write_notices(person=letter.person, items=letter.items, at=at))
        return bool(written)

    return Post(
        to=letter.person.username,
        write=write,
        message=lambda: message(letter),
        sent=lambda: operations.mark_sent(notices=written, at=timezone.now()),
        failed=lambda: operations.take_back(notices=written),
    )


def message(letter: Letter) -> EmailMessage:
    """Return the mail in its reader's language."""
    with translation.override(letter.person.reads):
        body = render_to_string("certs/notices/mail.txt", {"letter": letter, "site": settings.SITE_URL})
        subject = _("About your card") if letter.own else _("Cards of your crews")
        return EmailMessage(subject, body.strip() + "\n", to=[letter.person.email])
