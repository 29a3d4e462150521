"""Make and sign the list of the cards that are stopped."""

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards.queries import KeyUnavailable
from certs.checking.operations import make_status_list


class Command(BaseCommand):
    """Run it once a day, so that a phone that has no signal tomorrow finds the list of today."""

    help = "Make and sign the list of the cards that are stopped; it is good for a week. Run it once a day."

    def handle(self, *_args: object, **_options: object) -> None:
        """Make it, or say why not."""
        try:
            made = make_status_list(at=timezone.now())
        except KeyUnavailable as refusal:
            raise CommandError(str(refusal)) from None
        words = _("List of cards number %(sequence)d, of %(cards)d cards, good until %(day)s.")
        facts = {"sequence": made.sequence, "cards": made.cards, "day": date_format(made.good_until, "DATETIME_FORMAT")}
        self.stdout.write(words % facts)
