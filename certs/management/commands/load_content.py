"""Bring procedures, questions, papers and schemes in line with the files of content."""

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from certs.schemes import operations as schemes
from training.bank import operations as bank
from training.content.load import Content, read_content
from training.content.mistakes import ContentErrors
from training.content.tally import Tally
from training.procedures import operations as procedures
from training.quizzes import operations as quizzes

REFUSED = "Nothing was loaded."


@transaction.atomic
def load(content: Content, *, at: datetime) -> Tally:
    """Write everything or nothing, so that no paper can name a question that is not there."""
    return sum(
        (
            procedures.load(content.modules, at=at),
            bank.load_questions(content.questions, at=at),
            quizzes.load_papers(content.papers, at=at),
            schemes.load(content.schemes, checks=content.checks, at=at),
        ),
        Tally(),
    )


class Command(BaseCommand):
    """`load_content [folder] [--check]`."""

    help = "Read every file of content, print all mistakes or load the lot. A second run changes nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a folder, and whether only to check it."""
        parser.add_argument(
            "folder", nargs="?", type=Path, default=settings.BASE_DIR / "fixtures" / "content", help="folder of content"
        )
        parser.add_argument("--check", action="store_true", help="read and check only; needs no database")

    def handle(self, *args: Any, folder: Path, check: bool, **options: Any) -> None:
        """Check, then load unless told only to check."""
        try:
            content = read_content(folder)
            if check:
                self.stdout.write("No mistakes.")
                return
            tally = load(content, at=timezone.now())
        except ContentErrors as errors:
            raise CommandError(f"{errors}\n{len(errors.mistakes)} to put right. {REFUSED}") from None
        except (bank.LoadRefused, schemes.IssuesRefused) as refusal:
            raise CommandError(f"{refusal}\n{REFUSED}") from None
        self.stdout.write(str(tally))
