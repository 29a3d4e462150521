"""Print many cards as one PDF, from the terminal; interrupted, it goes on where it was."""

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from tqdm import tqdm

from certs.batches import operations, queries
from certs.batches.models import Batch
from certs.batches.rules import State
from certs.cards.models import Card
from certs.cards.pdf import LANGUAGES, Layout
from certs.cards.queries import KeyUnavailable
from training.people.models import Person
from training.people.rules import local_day


class Command(BaseCommand):
    """`print_cards FILE --by USERNAME [NUMBER ..] [--employer SLUG] [--layout L] [--language L]` or `--batch ID`."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file to write, and either a batch to go on with or the cards to ask for."""
        parser.add_argument("file", type=Path, help="the PDF to write")
        parser.add_argument("numbers", nargs="*", help="card numbers; without any, every card of the employer")
        parser.add_argument("--by", help="user name of the person who prints")
        parser.add_argument("--employer", default="", help="slug of the employer whose cards are printed")
        parser.add_argument("--layout", default=Layout.TEN.value, choices=[one.value for one in Layout])
        parser.add_argument("--language", default="", choices=["", *LANGUAGES])
        parser.add_argument("--batch", help="go on with the batch of this number")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        """Ask or find, print step by step, write the file in one move."""
        at = timezone.now()
        batch = self.found(options["batch"]) if options["batch"] else self.asked(options, at)
        batch = operations.resume(batch=batch)
        try:
            self.go_on(batch)
        except KeyboardInterrupt:
            raise CommandError(f"Stopped. Go on with: manage.py print_cards {file} --batch {batch.pk}") from None
        except (operations.NotKept, KeyUnavailable) as refusal:
            raise CommandError(f"{refusal}\nGo on with: manage.py print_cards {file} --batch {batch.pk}") from None
        shown = queries.shown(Batch.objects.get(pk=batch.pk), at=at)
        for number, holder, reason in shown.refused:
            self.stderr.write(f"Not printed: {number}, {holder}: {reason}")
        if shown.state is State.NOTHING:
            raise CommandError("Nothing is printed: none of the cards could be.")
        self.write(file, shown.batch)
        self.stdout.write(f"{file}: {shown.progress.printed} cards on {shown.batch.pages} pages.")

    def write(self, file: Path, batch: Batch) -> None:
        """Write the print under another name first: a file that is there is whole."""
        part = file.with_name(file.name + ".part")
        try:
            part.write_bytes(bytes(batch.pdf))
            part.replace(file)
        except OSError as fault:
            part.unlink(missing_ok=True)
            sentence = f"{file} could not be written ({fault.strerror}). The cards are printed and kept."
            raise CommandError(
                f"{sentence}\nMake room, then: manage.py print_cards {file} --batch {batch.pk}"
            ) from None

    def found(self, number: str) -> Batch:
        """Return the batch of that number."""
        try:
            return Batch.objects.get(pk=number)
        except (Batch.DoesNotExist, ValidationError):
            raise CommandError(f"There is no batch {number}.") from None

    def asked(self, options: dict[str, Any], at: datetime) -> Batch:
        """Ask for the cards named, or for those of an employer that are not closed."""
        by = Person.objects.select_related("employer").filter(username=options["by"] or "").first()
        if by is None:
            raise CommandError("Say with --by who prints: the user name of a person.")
        cards = Card.objects.order_by("holder_name", "pk")
        if options["numbers"]:
            cards = cards.filter(number__in=options["numbers"])
            if missing := set(options["numbers"]) - set(cards.values_list("number", flat=True)):
                raise CommandError(f"The register has no card {', '.join(sorted(missing))}.")
        else:
            today = local_day(at, ZoneInfo(by.employer.zone))
            cards = cards.filter(person__employer__slug=options["employer"], closed_at=None, last_day__gte=today)
        try:
            layout = Layout(options["layout"])
            return operations.ask(by=by, chosen=list(cards), layout=layout, language=options["language"], at=at)
        except operations.BatchRefused as refusal:
            raise CommandError(str(refusal)) from None

    def go_on(self, batch: Batch) -> None:
        """Print step by step until the batch is made, or nothing of it can be."""
        progress = queries.progress_of(batch)
        with tqdm(total=progress.asked, initial=progress.asked - progress.waiting, desc="Printing cards") as bar:
            while progress.waiting or (progress.printed and batch.made_at is None):
                batch = operations.advance(batch=batch, at=timezone.now())
                before, progress = progress.waiting, queries.progress_of(batch)
                bar.update(before - progress.waiting)
