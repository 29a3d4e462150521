"""The two signed lists a phone keeps: which keys sign cards, and which cards are stopped.

The list of keys is signed by the root key, which lies offline; the list of cards by a key of the first list. Each is
a COSE_Sign1 message with a sequence number; whoever keeps one refuses a lower number.
"""

import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import IntEnum
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from certs.cards.code import CodeRefused, key_id, sign1
from certs.cards.code.card import EPOCH

VERSION = 1
KEYS_PURPOSE = b"list of keys"
CARDS_PURPOSE = b"list of cards"
MOST_KEYS = 100
MOST_CARDS = 1_000_000
# A million cards of two bits that will not be packed any tighter, and some room.
LONGEST_TEXT = 400_000
PUBLIC = 32
# The last second of the year 9999.
LAST_SECOND = 253_402_300_799


class Status(IntEnum):
    """What the list says about a card, in two bits. `SUSPENDED` is whatever stops a card for the time being."""

    VALID = 0
    SUSPENDED = 1
    WITHDRAWN = 2
    REPLACED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyEntry:
    """A public key (32 bytes) with its first and last day of signing, both included, and the day it was broken."""

    public: bytes
    signs_from: date
    signs_to: date
    broken_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyList:
    """The keys that sign cards, as the root key vouches for them."""

    sequence: int
    made: datetime
    keys: tuple[KeyEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StatusList:
    """What is known of the cards with the places 0, 1, 2 ...: one byte each here, a `Status`."""

    sequence: int
    made: datetime
    good_until: datetime
    statuses: bytes


def seal_keys(keys: KeyList, root: Ed25519PrivateKey) -> str:
    """Return the list as base64url, signed by the root key."""
    rows = [[each.public, *_days(each)] for each in keys.keys]
    return sign1.seal(sign1.encode([VERSION, keys.sequence, _seconds(keys.made), rows]), root, purpose=KEYS_PURPOSE)


def unseal_keys(text: str, root: bytes) -> KeyList:
    """Return the list that this root key (32 bytes, public) has signed. Anything else raises CodeRefused."""
    opened = sign1.unseal(text, {key_id(root): root}, purpose=KEYS_PURPOSE, longest=LONGEST_TEXT)
    version, sequence, made, rows = sign1.facts(opened.payload, [int, int, int, list])
    if version != VERSION or sequence < 1 or len(rows) > MOST_KEYS:
        raise CodeRefused("This list of keys is of another make.")
    return KeyList(sequence=sequence, made=_moment(made), keys=tuple(_entry(row) for row in rows))


def seal_statuses(statuses: StatusList, key: Ed25519PrivateKey) -> str:
    """Return the list as base64url, signed by a key of the cards."""
    packer = zlib.compressobj(level=9, wbits=-15)
    packed = packer.compress(_pack(statuses.statuses)) + packer.flush()
    moments = [_seconds(statuses.made), _seconds(statuses.good_until)]
    facts = [VERSION, statuses.sequence, *moments, len(statuses.statuses), packed]
    return sign1.seal(sign1.encode(facts), key, purpose=CARDS_PURPOSE)


def unseal_statuses(text: str, keys: Mapping[bytes, bytes]) -> StatusList:
    """Return the list that one of these keys has signed. Anything else raises CodeRefused.

    What is unpacked is bounded by the size that the list states.
    """
    opened = sign1.unseal(text, keys, purpose=CARDS_PURPOSE, longest=LONGEST_TEXT)
    version, sequence, made, good_until, size, packed = sign1.facts(opened.payload, [int] * 5 + [bytes])
    if version != VERSION or sequence < 1 or not 0 <= size <= MOST_CARDS:
        raise CodeRefused("This list of cards is of another make.")
    return StatusList(
        sequence=sequence,
        made=_moment(made),
        good_until=_moment(good_until),
        statuses=_unpack(_inflate(packed, -(-size // 4)), size),
    )


def _days(entry: KeyEntry) -> list[int | None]:
    days = (entry.signs_from, entry.signs_to, entry.broken_on)
    return [None if day is None else (day - EPOCH).days for day in days]


def _entry(row: Any) -> KeyEntry:
    kinds = [type(fact) for fact in row] if isinstance(row, list) else []
    if kinds not in ([bytes, int, int, int], [bytes, int, int, type(None)]) or len(row[0]) != PUBLIC:
        raise CodeRefused("This list of keys is of another make.")
    try:
        first, last, *broken = (EPOCH + timedelta(days=day) for day in row[1:] if day is not None)
    except OverflowError:
        raise CodeRefused("This list of keys holds a day outside the calendar.") from None
    return KeyEntry(public=row[0], signs_from=first, signs_to=last, broken_on=broken[0] if broken else None)


def _seconds(moment: datetime) -> int:
    return int(moment.timestamp())


def _moment(seconds: int) -> datetime:
    if not 0 <= seconds <= LAST_SECOND:
        raise CodeRefused("This list holds a moment outside the calendar.")
    return datetime.fromtimestamp(seconds, UTC)


def _pack(statuses: Iterable[int]) -> bytes:
    """Put four cards into each byte, the first in its lowest bits."""
    packed = bytearray()
    for place, status in enumerate(statuses):
        if place % 4 == 0:
            packed.append(0)
        packed[-1] |= status << 2 * (place % 4)
    return bytes(packed)


def _unpack(packed: bytes, size: int) -> bytes:
    spread = bytes(byte >> shift & 3 for byte in packed for shift in (0, 2, 4, 6))
    if any(spread[size:]):
        raise CodeRefused("This list of cards is of another make.")
    return spread[:size]


def _inflate(packed: bytes, size: int) -> bytes:
    """Unpack raw DEFLATE (RFC 1951) of exactly that many bytes, and never more than one above."""
    opener = zlib.decompressobj(wbits=-15)
    try:
        content = opener.decompress(packed, size + 1)
    except zlib.error:
        raise CodeRefused("This list of cards cannot be unpacked.") from None
    if len(content) != size or not opener.eof or opener.unused_data:
        raise CodeRefused("This list of cards is of another make.")
    return content
