"""How an entry of the ledger gets its mark, and how a chain is proved whole."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

START = "0" * 64
# So much of a mark is printed on a card: enough that no other chain is made to fit it.
SHORT = 16
HEX = frozenset("0123456789abcdef")
LONGEST_SEQ = 18
# Acts that wait for one another are written down a little out of order; a clock that was set back shows as more.
OUT_OF_ORDER = timedelta(minutes=5)


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


@dataclass(frozen=True, slots=True)
class Head:
    """The last entry of a chain as it was printed or mailed: its number, and its mark or the first letters of it."""

    seq: int
    mark: str


def mark(*, seq: int, at: datetime, by: int, act: str, about: Mapping[str, object], prev: str) -> str:
    """Return the SHA-256 (hex) over the canonical JSON of an entry and the mark before it."""
    facts = [seq, at.isoformat(), by, act, about, prev]
    text = json.dumps(facts, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def read_head(text: str) -> Head | None:
    """Read a head as it is printed, such as `312 9f86d081884c7d65`; None where it is none."""
    seq, _space, found = text.strip().partition(" ")
    letters = found.strip().lower()
    whole = seq.isascii() and seq.isdecimal() and len(seq) < LONGEST_SEQ and SHORT <= len(letters) <= len(START)
    return Head(int(seq), letters) if whole and set(letters) <= HEX else None


def first_fault(links: Iterable[Link], *, kept: Head | None = None) -> str:
    """Return a sentence naming the first entry that breaks the chain, or an empty string.

    A chain that was cut off, or written anew from some entry on, is whole in itself: only a head that was `kept`
    elsewhere tells.
    """
    prev, expected = START, 1
    for link in links:
        if kept and link.seq == kept.seq and not link.mark.startswith(kept.mark):
            return f"Entry {link.seq} is not the one whose mark was kept: the ledger was written anew."
        if link.seq != expected:
            return f"Entry {expected} is missing: the next one kept is {link.seq}."
        if link.prev != prev:
            return f"Entry {link.seq} does not follow the entry before it."
        if link.mark != mark(seq=link.seq, at=link.at, by=link.by, act=link.act, about=link.about, prev=link.prev):
            return f"Entry {link.seq} was changed after it was written."
        prev, expected = link.mark, expected + 1
    if kept and kept.seq >= expected:
        return f"The ledger ends at entry {expected - 1}, but the mark of entry {kept.seq} was kept: entries are gone."
    return ""


def steps_back(moments: Iterable[tuple[int, datetime]]) -> list[tuple[int, timedelta]]:
    """Return the number of each entry before which the server's clock was set back, and by how much.

    Takes number and moment (aware) of the entries in their order.
    """
    found = []
    before: datetime | None = None
    for seq, at in moments:
        if before is not None and before - at > OUT_OF_ORDER:
            found.append((seq, before - at))
        before = at
    return found
