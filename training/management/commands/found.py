"""Make the certification body and its first administrator, once, on a new site."""

from argparse import ArgumentParser
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from training.people import operations
from training.people.models import known_zone
from training.people.rules import local_day


class Command(BaseCommand):
    """`found --body NAME --zone Europe/London --username U --name N`."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the body and the person."""
        parser.add_argument("--body", required=True, help="name of the certification body")
        parser.add_argument("--zone", required=True, help="its time zone, such as Europe/London")
        parser.add_argument("--username", required=True, help="user name of the first administrator")
        parser.add_argument("--name", required=True, help="full name of the first administrator")

    def handle(self, *args: Any, body: str, zone: str, username: str, name: str, **options: Any) -> None:
        """Make both, and print the first password once."""
        at = timezone.now()
        try:
            known_zone(zone)
            _person, phrase = operations.found(
                body=body, zone=zone, username=username, name=name, on=local_day(at, ZoneInfo(zone)), at=at
            )
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from None
        self.stdout.write(f"{username} signs in with: {phrase}\nIt is kept nowhere else. Change it after signing in.")
