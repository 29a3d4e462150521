"""Make a sign-in link on the server, where no administrator is left who can make one on the site."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone

from training.people import operations
from training.people.access import secret_of
from training.people.models import Person
from training.people.rules import Purpose, link_ends


class Command(BaseCommand):
    """`sign_in_link USERNAME [--lost-factor]`."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the person, and whether the second factor is lost as well."""
        parser.add_argument("username", help="user name of the person")
        parser.add_argument("--lost-factor", action="store_true", help="take the second factors away as well")

    def handle(self, *args: Any, username: str, lost_factor: bool, **options: Any) -> None:
        """Print the link once."""
        person = Person.objects.filter(username=username).first()
        if person is None:
            raise CommandError(f"Nobody has the user name {username}.")
        purpose = (
            Purpose.FACTOR if lost_factor else Purpose.FORGOTTEN if person.has_usable_password() else Purpose.FIRST
        )
        try:
            made = operations.invite_from_the_server(person=person, purpose=purpose, at=timezone.now())
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from None
        self.stdout.write(settings.SITE_URL + reverse("people:start", args=[secret_of(made)]))
        self.stdout.write(
            f"It works once, until {link_ends(made.made_at):%Y-%m-%d %H:%M} UTC. The ledger says it was made."
        )
