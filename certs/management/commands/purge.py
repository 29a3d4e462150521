"""Count what is kept longer than its term, by kind; with --apply delete it and erase names whose term is over."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from certs.retention import operations, queries


class Command(BaseCommand):
    """`purge [--apply]`: run it once a month."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether to delete."""
        parser.add_argument("--apply", action="store_true", help="delete, instead of counting only")

    def handle(self, *args: Any, apply: bool, **options: Any) -> None:
        """Say what would go, or what went."""
        at = timezone.now()
        if apply:
            for kind, count in operations.purge(at=at).items():
                self.stdout.write(f"{kind}: {count} gone")
            return
        for line in queries.summary(at=at):
            self.stdout.write(line)
        self.stdout.write("Nothing was deleted. To do it: manage.py purge --apply")
