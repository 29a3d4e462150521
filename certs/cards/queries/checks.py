"""The public answer about a card, and the signed code that is printed on it."""

import stat
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path
from zoneinfo import ZoneInfo

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import load_pem_private_key
from django.conf import settings
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.cards import code, rules
from certs.cards.models import CardKey
from certs.cards.queries.faces import CardFace, card_numbered, face


class KeyUnavailable(RuntimeError):
    """The key that signs cards cannot be used; the message says what to do."""


class Answer(StrEnum):
    """What somebody at the gate is told."""

    ACCEPT = "accept"
    TELEPHONE = "telephone"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """The public answer about a card, with the local moment of asking; without a face nothing is known of it."""

    answer: Answer
    reasons: tuple[str, ...]
    at: datetime
    zone: str
    face: CardFace | None = None

    @property
    def when(self) -> str:
        """The moment as clocks there show it; a template would turn it into the site's own zone."""
        return date_format(self.at, "DATETIME_FORMAT")


def check(number: str, *, at: datetime, says: code.CardCode | None = None) -> Checked:
    """Answer whether to let the holder of that number work; `says` is what a genuine code of the card claims."""
    card = card_numbered(number)
    if card is None:
        return _refused(_("The register has no card of that number."), at)
    shown = face(card, on=rules.local_day(at, card.zone))
    doubts = [shown.warning] if shown.warning else []
    if says is not None and (says.name, says.last_day) != (shown.holder, shown.last_day):
        doubts.append(_("The name or the last day in the code is not what the register says."))
    answer = Answer.TELEPHONE if doubts else Answer.ACCEPT
    return Checked(
        answer=answer if shown.holds else Answer.REFUSE,
        reasons=(shown.reason, *doubts),
        at=at.astimezone(ZoneInfo(card.zone)),
        zone=card.zone,
        face=shown,
    )


def check_code(pasted: str, *, at: datetime) -> Checked:
    """Answer for a pasted code: first its signature, then the register."""
    pairs = CardKey.objects.values_list("key_id", "public")
    keys = {bytes.fromhex(name): bytes.fromhex(public) for name, public in pairs}
    try:
        says = code.unseal(code.fragment(pasted), keys)
    except code.CodeRefused:
        return _refused(_("The code was not signed here, or it was not read whole. Type the card number instead."), at)
    return check(says.number, at=at, says=says)


def _refused(sentence: str, at: datetime) -> Checked:
    return Checked(answer=Answer.REFUSE, reasons=(sentence,), at=at.astimezone(UTC), zone="UTC")


def code_url(shown: CardFace) -> str:
    """Return the address printed as the code of a card. Raises KeyUnavailable; ValueError for too long a name."""
    says = code.CardCode(
        name=shown.holder,
        number=shown.number,
        scheme=f"{shown.scheme_slug}/{shown.issue}",
        valid_from=shown.valid_from,
        last_day=shown.last_day,
        confirm_by=shown.confirmed_to,
        issued_on=shown.issued_on,
    )
    return f"{settings.SITE_URL}{reverse('cards:check').rstrip('/')}#{code.seal(says, signing_key())}"


def signing_key() -> Ed25519PrivateKey:
    """Load the key that signs cards, at each use, so that a new one counts at once. Raises KeyUnavailable."""
    path = Path(settings.CARD_KEY_FILE)
    try:
        mode, pem = path.stat().st_mode, path.read_bytes()
    except OSError:
        raise KeyUnavailable(_("There is no key to sign cards with: run manage.py make_card_key.")) from None
    if stat.S_IMODE(mode) & 0o077:
        raise KeyUnavailable(_("Others can read the key that signs cards: set the mode of its file to 0400."))
    key = load_pem_private_key(pem, password=None)
    if not isinstance(key, Ed25519PrivateKey):
        raise KeyUnavailable(_("The key that signs cards is not an Ed25519 key."))
    if not CardKey.objects.filter(public=key.public_key().public_bytes_raw().hex()).exists():
        raise KeyUnavailable(_("The key that signs cards is not in the register: run manage.py make_card_key."))
    return key
