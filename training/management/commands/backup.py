"""Copy the database while it is in use, prove the copy, and let go of old ones."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from training.keeping.operations import CannotCopy, back_up, thin_out
from training.keeping.rules import Keep


class Command(BaseCommand):
    """`backup [--to FOLDER] [--keep-days N] [--keep-weeks N] [--keep-months N]`: run it every night."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the folder and how many copies stay in it."""
        usual = Keep()
        parser.add_argument("--to", type=Path, default=settings.BACKUP_DIR, help="folder (FERRULE_BACKUP_DIR)")
        parser.add_argument("--keep-days", type=int, default=usual.days)
        parser.add_argument("--keep-weeks", type=int, default=usual.weeks)
        parser.add_argument("--keep-months", type=int, default=usual.months)

    def handle(self, *args: Any, to: Path | None, **options: Any) -> None:
        """Say what was copied, where to, and which old copies went."""
        if to is None:
            raise CommandError("Say where to: backup --to FOLDER, or set FERRULE_BACKUP_DIR.")
        try:
            made = back_up(to, at=timezone.now())
        except CannotCopy as fault:
            raise CommandError(str(fault)) from fault
        self.stdout.write(
            f"{to / made.name}: {made.size} bytes, {sum(made.rows.values())} rows, "
            f"ledger whole up to entry {made.head[0]}. "
            "Keep it on another machine, apart from the card key and the factor key, which are not in it."
        )
        for name in thin_out(to, Keep(options["keep_days"], options["keep_weeks"], options["keep_months"])):
            self.stdout.write(f"{name} let go.")
