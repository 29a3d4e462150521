"""Signing the file of a card, which has its place in the status lists, and those lists. Each signature is logged."""

import secrets
from datetime import UTC, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from certs.cards.models import Card
from certs.cards.operations import log_signature
from certs.cards.queries import face, signing_key
from certs.cards.rules import local_day
from certs.credentials import code, queries, rules
from certs.credentials.models import Credential
from certs.credentials.rules import ENTRIES, FILL, Purpose
from training.ledger.operations import write
from training.people.models import Person


class NotInForce(ValueError):
    """The card may not be worked under today; the message is a sentence for its holder."""


@transaction.atomic
def take_along(*, card: Card, by: Person, at: datetime) -> dict[str, Any]:
    """Return the signed file of a card, always under the same name and place. Raises NotInForce, KeyUnavailable."""
    card = Card.objects.select_for_update().get(pk=card.pk)
    shown = face(card, on=local_day(at, card.zone))
    if not shown.holds:
        raise NotInForce(_("No signed file is made of a card that is not current. %(why)s") % {"why": shown.reason})
    made = Credential.objects.filter(card=card).first()
    if made is None:
        made = Credential.objects.create(card=card, place=_free_place(), made_at=at)
    write(by=by.pk, act="card signed to take along", about={"card": card.pk, "file": str(made.pk)}, at=at)
    return _signed(queries.credential(made), card_id=card.pk, at=at)


@transaction.atomic
def sign_list(*, purpose: Purpose, number: int, at: datetime) -> dict[str, Any] | None:
    """Return a signed status list as cards stand, or None where there is none of that number. Raises KeyUnavailable.

    It is dated to the beginning of the minutes for which it may be kept: asked again meanwhile, it is the same list
    and the same signature, so that nobody fills the log by asking.
    """
    made_at = rules.began(at)
    listed = queries.status_list(purpose, number, at=made_at)
    return None if listed is None else _signed(listed, card_id=None, at=made_at)


def _signed(document: dict[str, Any], *, card_id: int | None, at: datetime) -> dict[str, Any]:
    key, row = signing_key(on=at.astimezone(UTC).date())
    method = f"{queries.issuer_address()}#{code.multikey(key.public_key().public_bytes_raw())}"
    signed = code.sign(document, key=key, method=method, created=rules.moment(at))
    log_signature(text=signed["proof"]["proofValue"], key=row, card_id=card_id, at=at)
    return signed


def _free_place() -> int:
    """Draw a place in the list that is being filled; it is never more than half full."""
    first = Credential.objects.count() // FILL * ENTRIES
    while True:
        place = first + secrets.randbelow(ENTRIES)
        if not Credential.objects.filter(place=place).exists():
            return place
