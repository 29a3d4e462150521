"""Opening and closing a calendar feed. No ledger: it decides nothing."""

import secrets
from datetime import datetime

from django.db import transaction

from certs.exports.models import CalendarFeed
from certs.exports.rules import digest
from training.people.models import Person

# 128 bits: nobody finds an address by trying.
SECRET_BYTES = 16


@transaction.atomic
def open_feed(*, person: Person, at: datetime) -> str:
    """Make the feed of a person and return the secret of its address, this once; an earlier address ends."""
    secret = secrets.token_urlsafe(SECRET_BYTES)
    CalendarFeed.objects.update_or_create(person=person, defaults={"digest": digest(secret), "made_at": at})
    return secret


@transaction.atomic
def close_feed(*, person: Person) -> None:
    """End the feed of a person; a second time changes nothing."""
    CalendarFeed.objects.filter(person=person).delete()
