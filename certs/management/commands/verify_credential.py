"""Check the signed file of a card."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from certs.credentials.queries import verdict

# A file of ours takes about 3 kB.
MOST_BYTES = 200_000


class Command(BaseCommand):
    """`verify_credential FILE`: genuine, unchanged, and how its card stands now; nothing is fetched."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the path of the file."""
        parser.add_argument("file", type=Path)

    def handle(self, *_args: Any, file: Path, **_options: Any) -> None:
        """Print what was found; end with an error unless the file may be relied on."""
        try:
            raw = file.read_bytes()
            document = json.loads(raw) if len(raw) <= MOST_BYTES else None
        except (OSError, ValueError, RecursionError) as error:
            raise CommandError(_("The file cannot be read: %(why)s") % {"why": error}) from error
        found = verdict(document, at=timezone.now())
        for sentence in found.sentences:
            self.stdout.write(sentence)
        if not found.good:
            raise CommandError(_("Do not rely on this file."))
