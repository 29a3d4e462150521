"""Figures of very many people, counted once in a while and said to be so."""

import hashlib
from datetime import datetime, timedelta
from typing import Any

from django.core.cache import cache

KEPT_FOR = timedelta(minutes=10)


def recall(said: str, *, at: datetime) -> Any:
    """Return what was counted for this question in the ten minutes before, or None."""
    kept = cache.get(_key(said))
    return kept if kept is not None and at - KEPT_FOR < kept.counted_at <= at else None


def remember(said: str, counted: Any) -> None:
    """Keep what was counted; it says when, as `counted_at`."""
    cache.set(_key(said), counted, KEPT_FOR.total_seconds())


def _key(said: str) -> str:
    return "board-" + hashlib.sha256(said.encode()).hexdigest()
