"""Tokens as they are sent (RFC 6750), and the answer of version 1. Plain values only."""

import re
from dataclasses import dataclass
from datetime import date

from training.tokens.rules import fresh

VERSION = 1
# A gate where a shift passes asks a few times a second at most; more is a machine that reads everyone out.
ASKED_A_MINUTE = 120
MINUTE = 60
# Whoever sends tokens that are none is stopped long before one could be found.
REFUSED_A_QUARTER = 20
QUARTER = 900
# An employer has so many gates and systems at most, each with a token of its own.
MOST_TOKENS = 20
# What stands in place of a standing where no card counts.
NO_CARD = "no card"

HANDLE = 8
# b64token of RFC 6750, 2.1: what a token may consist of.
B64TOKEN = re.compile(r"[A-Za-z0-9._~+/-]+=*", re.ASCII)
OURS = re.compile(r"gate\.([A-Za-z0-9_-]{8})\.([A-Za-z0-9_-]{22})", re.ASCII)
LONGEST = 200


class Malformed(ValueError):
    """The header says Bearer, and what follows is no token."""


@dataclass(frozen=True, slots=True)
class Token:
    """The two parts of a token: a handle, which is kept and shown, and a secret, of which a hash is kept."""

    handle: str
    secret: str

    @property
    def text(self) -> str:
        """The token as it is sent."""
        return f"gate.{self.handle}.{self.secret}"


def new_token() -> Token:
    """Return a token that was never given before."""
    return Token(fresh()[:HANDLE], fresh())


def bearer(header: str) -> str:
    """Return the token of an Authorization header, or nothing where it names none. Raises Malformed.

    The name of the scheme is compared as RFC 9110, 11.1, says: capitals and small letters are the same.
    """
    scheme, _space, rest = header.partition(" ")
    if scheme.lower() != "bearer":
        return ""
    token = rest.strip(" ")
    if len(token) > LONGEST or not B64TOKEN.fullmatch(token):
        raise Malformed
    return token


def read_token(text: str) -> Token | None:
    """Return the parts of a token, or None for one that was not made here."""
    found = OURS.fullmatch(text)
    return Token(*found.groups()) if found else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What is said about one person or card, one scheme and one day; `asked` repeats what was asked about.

    `until` is the last day of a card that may be worked under, `confirm_by` when its work has to be confirmed again;
    `since` is the day that explains a standing which stops work. `why` is a sentence, `warning` one or more, or empty.
    """

    asked: tuple[str, str]
    scheme: str
    on: date
    zone: str
    standing: str
    current: bool
    until: date | None = None
    confirm_by: date | None = None
    since: date | None = None
    why: str = ""
    warning: str = ""

    @property
    def body(self) -> dict[str, object]:
        """The answer as it is sent. Within a version fields are only added."""
        kind, what = self.asked
        days = {"until": self.until, "confirm_by": self.confirm_by, "since": self.since}
        return {
            "version": VERSION,
            kind: what,
            "scheme": self.scheme,
            "on": self.on.isoformat(),
            "zone": self.zone,
            "current": self.current,
            "standing": self.standing,
            **{name: day.isoformat() if day else None for name, day in days.items()},
            "why": self.why,
            "warning": self.warning,
        }
