"""Forget the lines of rosters not applied within a day, and what undoing needs once it is too late."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from training.rosters import operations


class Command(BaseCommand):
    """`forget_rosters`: run it once a day."""

    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        """Forget, and say how much."""
        files, settled = operations.forget(at=timezone.now())
        self.stdout.write(f"Files forgotten: {files}. Rosters that can be undone no more: {settled}.")
