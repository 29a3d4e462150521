"""The signed code of a card, in the fragment of a web address.

The signature proves who issued the card, not that it still holds nor who carries it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from certs.cards.code import sign1
from certs.cards.code.sign1 import CodeRefused

VERSION = 2
EPOCH = date(1970, 1, 1)
LONGEST_TEXT = 600
LONGEST_PAYLOAD = 255
# Each kind of message says under its signature what it is for; a card says nothing.
PURPOSE = b""
KINDS = [int, str, str, str, *[int] * 5]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardCode:
    """What the code says, in the order of its map keys 1 to 8.

    `scheme` is slug and issue, as in bonds/1; `place` is where the status list speaks of this card, counted from 0.
    `issued_on` is the day of issue, or the first day of the key where a younger one printed the card again.
    """

    name: str
    number: str
    scheme: str
    valid_from: date
    last_day: date
    confirm_by: date
    issued_on: date
    place: int


@dataclass(frozen=True, slots=True)
class Unsealed:
    """A genuine code, and the id of the key that signed it."""

    says: CardCode
    signed_by: bytes


def seal(card: CardCode, key: Ed25519PrivateKey) -> str:
    """Return the signed code as base64url without padding. Raises ValueError when the texts are too long."""
    payload = _payload(card)
    if len(payload) > LONGEST_PAYLOAD:
        raise ValueError("The name and the scheme are too long for the code of a card.")
    return sign1.seal(payload, key, purpose=PURPOSE)


def unseal(text: str, keys: Mapping[bytes, bytes]) -> Unsealed:
    """Return what a code says. `keys`: key id to public key (32 bytes). Anything else raises CodeRefused."""
    opened = sign1.unseal(text, keys, purpose=PURPOSE, longest=LONGEST_TEXT)
    return Unsealed(_read(opened.payload), opened.signed_by)


def fragment(pasted: str) -> str:
    """Return the code in a pasted address or text: what follows the last #, without white space."""
    return "".join(pasted.split()).rpartition("#")[2]


def _payload(card: CardCode) -> bytes:
    days = [(day - EPOCH).days for day in (card.valid_from, card.last_day, card.confirm_by, card.issued_on)]
    return sign1.encode([VERSION, card.name, card.number, card.scheme, *days, card.place])


def _read(payload: bytes) -> CardCode:
    version, name, number, scheme, *days, place = sign1.facts(payload, KINDS)
    try:
        valid_from, last_day, confirm_by, issued_on = (EPOCH + timedelta(days=days_since) for days_since in days)
    except OverflowError:
        raise CodeRefused("The code holds a day outside the calendar.") from None
    if version != VERSION or place < 0:
        raise CodeRefused("The code is of another make.")
    return CardCode(
        name=name,
        number=number,
        scheme=scheme,
        valid_from=valid_from,
        last_day=last_day,
        confirm_by=confirm_by,
        issued_on=issued_on,
        place=place,
    )
