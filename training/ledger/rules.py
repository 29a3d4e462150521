"""How an entry of the ledger gets its mark, and how a chain is proved whole."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

START = "0" * 64


@dataclass(frozen=True, slots=True)
class Link:
    """The facts of one entry, as they are hashed."""

    seq: int
    at: datetime
    by: int
    act: str
    about: Mapping[str, object]
    prev: str
    mark: str


def mark(*, seq: int, at: datetime, by: int, act: str, about: Mapping[str, object], prev: str) -> str:
    """Return the SHA-256 (hex) over the canonical JSON of an entry and the mark before it."""
    facts = [seq, at.isoformat(), by, act, about, prev]
    text = json.dumps(facts, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def first_fault(links: Iterable[Link]) -> str:
    """Return a sentence naming the first entry that breaks the chain, or an empty string."""
    prev, expected = START, 1
    for link in links:
        if link.seq != expected:
            return f"Entry {expected} is missing: the next one kept is {link.seq}."
        if link.prev != prev:
            return f"Entry {link.seq} does not follow the entry before it."
        if link.mark != mark(seq=link.seq, at=link.at, by=link.by, act=link.act, about=link.about, prev=link.prev):
            return f"Entry {link.seq} was changed after it was written."
        prev, expected = link.mark, expected + 1
    return ""
