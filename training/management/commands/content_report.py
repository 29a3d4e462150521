"""Print what each module of the content holds, and how hard it is to read."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from training.content.load import read_content
from training.content.report import Count, counts


def line(count: Count) -> str:
    """Return a module's count as a line for a terminal."""
    return (
        f"{count.module}: {count.steps} steps, {count.figures} figures ({count.figures_with_source} with a source), "
        f"{count.cautions} cautions, {count.drawings} drawings, {count.questions} questions, "
        f"reading grade {count.reading_grade:.1f}"
    )


class Command(BaseCommand):
    """`content_report [folder] [--json]`."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a folder, and the form of the answer."""
        parser.add_argument(
            "folder", nargs="?", type=Path, default=settings.BASE_DIR / "fixtures" / "content", help="folder of content"
        )
        parser.add_argument("--json", action="store_true", help="one list, an object a module")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        """Read, count, print."""
        try:
            found = counts(read_content(folder, seeds=0))
        except ValueError as error:
            # Mistakes of the content, or a language whose syllables cannot be counted.
            raise CommandError(str(error)) from None
        rows = [count.as_json() for count in found]
        self.stdout.write(json.dumps(rows, indent=2) if options["json"] else "\n".join(map(line, found)))
