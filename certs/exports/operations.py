"""Opening and closing a calendar feed. The ledger says who lets days of cards be read without signing in."""

from datetime import datetime

from django.db import transaction

from certs.exports.models import CalendarFeed
from training.ledger.operations import write
from training.people.models import Person
from training.tokens.rules import digest, fresh


@transaction.atomic
def open_feed(*, person: Person, at: datetime) -> str:
    """Make the feed of a person and return the secret of its address, this once; an earlier address ends."""
    secret = fresh()
    CalendarFeed.objects.update_or_create(person=person, defaults={"digest": digest(secret), "made_at": at})
    write(by=person.pk, act="calendar feed opened", about={"person": person.pk}, at=at)
    return secret


@transaction.atomic
def close_feed(*, person: Person, at: datetime) -> None:
    """End the feed of a person; a second time changes nothing."""
    gone, _rows = CalendarFeed.objects.filter(person=person).delete()
    if gone:
        write(by=person.pk, act="calendar feed closed", about={"person": person.pk}, at=at)
