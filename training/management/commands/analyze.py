"""Have the database look at its tables, so that it chooses well how to answer."""

from typing import Any

from django.core.management.base import BaseCommand

from training.keeping.operations import analyze


class Command(BaseCommand):
    """`analyze`: run it once a day; `migrate` does it by itself."""

    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        """Look."""
        analyze()
