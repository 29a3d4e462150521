"""What a phone sends later: reading the bytes, and the answers it acts on.

The phone makes the key of a record and sends the same bytes until it is told `kept` with that key. 201 means new, 200
the same once more, 409 another record under that key or another person's, 422 that its maker must put it right.
Anything else leaves it on the phone.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import NamedTuple
from uuid import UUID

MOST_BYTES = 200_000
# A phone whose clock was reset counts from 1970; such a record is not lost for that.
FIRST_YEAR, LAST_YEAR = 1971, 2199

Fields = Mapping[str, str | list[str]]


class Unreadable(ValueError):
    """The bytes are no record; the message is an English sentence for the log, the phone is told in its own words."""


class Conflict(Exception):
    """Another record is kept under that key, or it was made by somebody else."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A record as it came: who made it, the phone's time then, what was typed, the SHA-256 of its bytes."""

    made_by: int
    phone_time: datetime
    fields: Fields
    digest: str


@dataclass(frozen=True, slots=True)
class Reply:
    """A status and the object that goes with it as JSON."""

    status: int
    body: Mapping[str, object]


class Problem(NamedTuple):
    """What is to be put right: the field, what the form calls it, both empty for the whole, and a sentence."""

    field: str
    name: str
    says: str


def fingerprint(raw: bytes) -> str:
    """Return the SHA-256 of the bytes as received, 64 hexadecimal digits."""
    return hashlib.sha256(raw).hexdigest()


def read(raw: bytes) -> Sent:
    """Read a record. Raises Unreadable."""
    if len(raw) > MOST_BYTES:
        raise Unreadable("the record is too long")
    try:
        found = json.loads(raw.decode("utf-8"))
    except (ValueError, RecursionError):
        raise Unreadable("the record is not JSON in UTF-8") from None
    if not isinstance(found, dict):
        raise Unreadable("the record is not an object")
    made_by = found.get("made_by")
    if type(made_by) is not int:
        raise Unreadable("made_by is not a number")
    return Sent(made_by, moment(found.get("phone_time")), _fields(found.get("fields")), fingerprint(raw))


def moment(text: object) -> datetime:
    """Return the moment (UTC) of an ISO 8601 text with its offset. Raises Unreadable."""
    try:
        told = datetime.fromisoformat(text) if isinstance(text, str) else None
    except ValueError:
        told = None
    if told is None or told.tzinfo is None or not FIRST_YEAR <= told.year <= LAST_YEAR:
        raise Unreadable("the phone's time is not a moment")
    return told.astimezone(UTC)


def _fields(found: object) -> Fields:
    if not isinstance(found, dict):
        raise Unreadable("fields is not an object")
    for name, value in found.items():
        parts = value if isinstance(value, list) else [value]
        if not all(isinstance(part, str) and _is_text(part) for part in [name, *parts]):
            raise Unreadable("a field is not text")
    return found


def _is_text(part: str) -> bool:
    """Say whether a string can be stored: JSON can spell half a character, which no encoding can write."""
    return not any("\ud800" <= character <= "\udfff" for character in part)


def kept(key: UUID, *, new: bool) -> Reply:
    """Answer that the record is safe, so that the phone may let it go."""
    return Reply(201 if new else 200, {"kept": str(key)})


def conflict() -> Reply:
    """Answer that this key, or this person, does not fit the record."""
    return Reply(409, {})


def refused(problems: Iterable[Problem]) -> Reply:
    """Answer with all that is to be put right; away from the form only a name tells what a sentence is about."""
    return Reply(422, {"problems": [one._asdict() for one in problems]})


def refused_whole(says: str) -> Reply:
    """Answer with one sentence about the whole record."""
    return refused([Problem("", "", says)])
