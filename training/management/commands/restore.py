"""Prove a copy of the database and put it in the place of the one there is."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from training.keeping.operations import CannotRestore, restore


class Command(BaseCommand):
    """`restore COPY [--replace]`: stop the site first."""

    help = __doc__
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the copy, and whether a database that stands there may be put aside."""
        parser.add_argument("copy", type=Path)
        parser.add_argument("--replace", action="store_true", help="put aside the SQLite file that is there")

    def handle(self, *args: Any, copy: Path, replace: bool, **options: Any) -> None:
        """Say what was brought back, and what is still to be done."""
        try:
            done = restore(copy, replace=replace, at=timezone.now())
        except CannotRestore as fault:
            raise CommandError(str(fault)) from fault
        made = done.manifest
        self.stdout.write(
            f"Brought back as of {made.made:%Y-%m-%d %H:%M} UTC: {sum(made.rows.values())} rows, "
            f"ledger whole up to entry {made.head[0]} {made.head[1][:16]}."
        )
        if done.aside:
            self.stdout.write(f"The database that was there is {done.aside}.")
        self.stdout.write(
            f"Next: manage.py migrate ({len(done.to_migrate)} steps)." if done.to_migrate else "Next: start the site."
        )
        self.stdout.write(
            "Sign-in codes need the factor key of that time: manage.py check --database default says if it is here."
        )
        self.stdout.write("Compare the head with the last one mailed: manage.py ledger --head 'SEQ MARK'.")
