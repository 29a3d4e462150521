"""Prove the ledger whole, against a head kept elsewhere if one is given, and mail the head to those who keep it."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.management.base import BaseCommand, CommandError
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from training.ledger.queries import fault, head, steps_back
from training.ledger.rules import read_head
from training.people.queries import administrators_of_the_body


class Command(BaseCommand):
    """`ledger [--head "SEQ MARK"] [--mail]`: run it once a day with --mail."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a head that was printed or mailed earlier, and whether to mail the one of now."""
        parser.add_argument("--head", default="", help="a head kept elsewhere, such as '312 9f86d081884c7d65'")
        parser.add_argument("--mail", action="store_true", help="mail the head to the body's administrators")

    def handle(self, *args: Any, mail: bool, **options: Any) -> None:
        """Say what is wrong and stop, or print the head."""
        kept = read_head(options["head"])
        if options["head"] and kept is None:
            raise CommandError("Give the head as it is printed: the number of the entry, a space, its mark.")
        if found := fault(kept):
            raise CommandError(f"{found} Stop issuing cards and compare with the last backup.")
        now = current()
        self.stdout.write(f"The ledger is whole. Its head: {now}")
        for seq, by in steps_back():
            self.stdout.write(f"The clock of the server went back by {by} before entry {seq}: look at what it dated.")
        if mail:
            self.stdout.write(f"{self.mail(now)} mailed.")

    def mail(self, now: str) -> int:
        """Send the head to each administrator of the certification body who has an address."""
        on = timezone.now().date()
        to = [person for person in administrators_of_the_body(on=on) if person.email]
        for person in to:
            with translation.override(person.reads):
                body = render_to_string("training/ledger/head.txt", {"head": now, "site": settings.SITE_URL})
                EmailMessage(_("Head of the ledger"), body.strip() + "\n", to=[person.email]).send()
        return len(to)


def current() -> str:
    """Return the head of now as it is printed."""
    last = head()
    return f"{last.seq} {last.mark}" if last else "0"
