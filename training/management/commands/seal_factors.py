"""Seal the secrets of second factors with the first key, after it was changed."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from training.people.operations import NoKey, OtherKey, seal_anew


class Command(BaseCommand):
    """`seal_factors`: run it once after a new FERRULE_FACTOR_KEY; the old one can go then."""

    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        """Seal, and say how many."""
        try:
            sealed = seal_anew()
        except (NoKey, OtherKey) as fault:
            raise CommandError(str(fault)) from None
        self.stdout.write(f"Sealed with the first key: {sealed}. FERRULE_FACTOR_KEY_FALLBACKS can be emptied.")
