"""Giving a card its place in the status lists, before its file is signed."""

import secrets
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from certs.cards.models import Card
from certs.cards.queries import face
from certs.cards.rules import local_day
from certs.credentials.models import Credential
from certs.credentials.rules import ENTRIES, FILL
from training.ledger.operations import write
from training.people.models import Person


class NotInForce(ValueError):
    """The card may not be worked under today; the message is a sentence for its holder."""


@transaction.atomic
def take_along(*, card: Card, by: Person, at: datetime) -> Credential:
    """Return the name and place under which a card is signed, made at the first time. Raises NotInForce."""
    card = Card.objects.select_for_update().get(pk=card.pk)
    shown = face(card, on=local_day(at, card.zone))
    if not shown.holds:
        raise NotInForce(_("No signed file is made of a card that is not current. %(why)s") % {"why": shown.reason})
    made = Credential.objects.filter(card=card).first()
    if made is None:
        made = Credential.objects.create(card=card, place=_free_place(), made_at=at)
    write(by=by.pk, act="card signed to take along", about={"card": card.pk, "file": str(made.pk)}, at=at)
    return made


def _free_place() -> int:
    """Draw a place in the list that is being filled; it is never more than half full."""
    first = Credential.objects.count() // FILL * ENTRIES
    while True:
        place = first + secrets.randbelow(ENTRIES)
        if not Credential.objects.filter(place=place).exists():
            return place
