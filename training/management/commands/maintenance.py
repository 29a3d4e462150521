"""Close the site for maintenance, or open it again."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from training.keeping.operations import close, reopen

USUAL = "It opens again within the hour. What is kept on a phone stays there and is sent afterwards."


class Command(BaseCommand):
    """`maintenance on [WORDS]` and `maintenance off`."""

    help = __doc__
    requires_system_checks: list[str] = []  # noqa: RUF012  as Django declares it

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take which of the two, and what people read meanwhile."""
        parser.add_argument("state", choices=["on", "off"])
        parser.add_argument("words", nargs="?", default=USUAL)

    def handle(self, *args: Any, state: str, words: str, **options: Any) -> None:
        """Say how it stands now."""
        if state == "on":
            close(words)
            self.stdout.write("Closed: every page now answers 503 with those words. Open it with: maintenance off")
        else:
            self.stdout.write("Open again." if reopen() else "It was open.")
