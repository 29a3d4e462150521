"""How often something was asked, counted in the cache that every process shares."""

from datetime import datetime

from django.core.cache import cache

from training.tokens.rules import span


def count(name: str, *, seconds: int, at: datetime) -> int:
    """Count one asking within the span of so many seconds, and return how many that makes.

    Askings in one and the same instant may be counted as one: a limit made of this holds to within a few.
    """
    found = counted(name, seconds=seconds, at=at) + 1
    # Not `incr`: on the database it gives the count another time to live, so that a span would never end.
    cache.set(_key(name, seconds, at), found, seconds)
    return found


def counted(name: str, *, seconds: int, at: datetime) -> int:
    """Return how many askings were counted within the span that holds a moment."""
    return int(cache.get(_key(name, seconds, at), 0))


def _key(name: str, seconds: int, at: datetime) -> str:
    return f"{name}:{seconds}:{span(at, seconds)[0]}"
