"""Secrets and the spans of time in which askings are counted. Plain values only."""

import hmac
import secrets
from datetime import datetime
from hashlib import sha256

# 128 bits: nobody finds a secret by trying.
SECRET_BYTES = 16


def fresh() -> str:
    """Return a secret that was never given before, of letters, digits, - and _."""
    return secrets.token_urlsafe(SECRET_BYTES)


def digest(secret: str) -> str:
    """Return what is kept of a secret (SHA-256, hexadecimal). 128 random bits need no salt."""
    return sha256(secret.encode()).hexdigest()


def fits(secret: str, kept: str) -> bool:
    """Say whether a secret is the one of which this digest is kept, in the same time whatever it is."""
    return hmac.compare_digest(digest(secret), kept)


def span(at: datetime, seconds: int) -> tuple[int, int]:
    """Return the number of the span of so many seconds that holds a moment, and the whole seconds left of it.

    Spans lie end to end and begin for everyone at the same moment; at least one second is left.
    """
    number, gone = divmod(int(at.timestamp()), seconds)
    return number, seconds - gone
