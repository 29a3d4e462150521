"""The signed code of a card: a COSE_Sign1 message (RFC 9052) in the fragment of a web address.

Deterministic CBOR (RFC 8949, 4.2.1) under Ed25519 (RFC 8032; COSE algorithm -19, RFC 9864). The signature
proves who issued the card, not that it still holds nor who carries it.
"""

import base64
import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import cbor2
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

VERSION = 1
ED25519 = -19
SIGN1 = 18
EPOCH = date(1970, 1, 1)
LONGEST_TEXT = 600
LONGEST_PAYLOAD = 255
SIGNATURE = 64
# tag 18, array of 4, then the protected header as a string of 10 bytes: {1: -19, 4: 4 bytes}.
HEAD = bytes.fromhex("d2844aa201320444")
# What lies before the payload: head, key id, the empty unprotected map, and 58 with one byte of length.
BEFORE = len(HEAD) + 4 + 1 + 2
AFTER = 2 + SIGNATURE
BASE64URL = re.compile(r"[A-Za-z0-9_-]+")


class CodeRefused(ValueError):
    """The text is not a code that one of the given keys has signed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CardCode:
    """What the code says, in the order of its map keys 1 to 7; `scheme` is slug and issue, as in bonds/1."""

    name: str
    number: str
    scheme: str
    valid_from: date
    last_day: date
    confirm_by: date
    issued_on: date


def key_id(public: bytes) -> bytes:
    """Return the four bytes that name a public key: the first of its SHA-256."""
    return hashlib.sha256(public).digest()[:4]


def seal(card: CardCode, key: Ed25519PrivateKey) -> str:
    """Return the signed code as base64url without padding. Raises ValueError when the texts are too long."""
    payload = _payload(card)
    if not 24 <= len(payload) <= LONGEST_PAYLOAD:
        raise ValueError("The name and the scheme are too long for the code of a card.")
    named = key_id(key.public_key().public_bytes_raw())
    return _text(_envelope(named, payload, key.sign(_to_be_signed(named, payload))))


def unseal(text: str, keys: Mapping[bytes, bytes]) -> CardCode:
    """Return what a code says. `keys`: key id to public key (32 bytes). Anything else raises CodeRefused.

    The frame has fixed places and is rebuilt for comparison, so no byte of it is free; the payload is
    decoded only after its signature has held.
    """
    raw = _bytes(text)
    named, payload, signature = raw[len(HEAD) : len(HEAD) + 4], raw[BEFORE:-AFTER], raw[-SIGNATURE:]
    if len(raw) < BEFORE + AFTER or raw != _envelope(named, payload, signature):
        raise CodeRefused("This is no code of a card.")
    if named not in keys:
        raise CodeRefused("This code was signed with a key that is not known here.")
    try:
        Ed25519PublicKey.from_public_bytes(keys[named]).verify(signature, _to_be_signed(named, payload))
    except InvalidSignature:
        raise CodeRefused("The signature of this code does not hold.") from None
    return _read(payload)


def fragment(pasted: str) -> str:
    """Return the code in a pasted address or text: what follows the last #, without white space."""
    return "".join(pasted.split()).rpartition("#")[2]


def _envelope(named: bytes, payload: bytes, signature: bytes) -> bytes:
    return cbor2.dumps(cbor2.CBORTag(SIGN1, [_protected(named), {}, payload, signature]))


def _protected(named: bytes) -> bytes:
    return cbor2.dumps({1: ED25519, 4: named})


def _to_be_signed(named: bytes, payload: bytes) -> bytes:
    return cbor2.dumps(["Signature1", _protected(named), b"", payload])


def _payload(card: CardCode) -> bytes:
    days = [(day - EPOCH).days for day in (card.valid_from, card.last_day, card.confirm_by, card.issued_on)]
    return cbor2.dumps(dict(enumerate([VERSION, card.name, card.number, card.scheme, *days])))


def _read(payload: bytes) -> CardCode:
    """Read a payload whose signature has held; a key used for something else must not pass for a card."""
    try:
        facts = cbor2.loads(payload)
    except cbor2.CBORError:
        raise CodeRefused("The code holds nothing readable.") from None
    if not isinstance(facts, dict) or [type(fact) for fact in facts.values()] != [int, str, str, str, *[int] * 4]:
        raise CodeRefused("The code does not hold the facts of a card.")
    version, name, number, scheme, *days = facts.values()
    try:
        valid_from, last_day, confirm_by, issued_on = (EPOCH + timedelta(days=days_since) for days_since in days)
    except OverflowError:
        raise CodeRefused("The code holds a day outside the calendar.") from None
    card = CardCode(
        name=name,
        number=number,
        scheme=scheme,
        valid_from=valid_from,
        last_day=last_day,
        confirm_by=confirm_by,
        issued_on=issued_on,
    )
    if version != VERSION or _payload(card) != payload:
        raise CodeRefused("The code is of another make.")
    return card


def _text(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode("ascii")


def _bytes(text: str) -> bytes:
    """Decode base64url; only the one spelling that encoding gives passes."""
    if len(text) > LONGEST_TEXT or not BASE64URL.fullmatch(text) or len(text) % 4 == 1:
        raise CodeRefused("This is no code of a card.")
    raw = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    if _text(raw) != text:
        raise CodeRefused("This is no code of a card.")
    return raw
