"""The days of cards as calendar entries. Plain values only."""

from dataclasses import dataclass
from datetime import date
from hashlib import sha256


@dataclass(frozen=True, slots=True)
class Event:
    """A day in a calendar. `uid` stays the same for one cycle of a certificate, whatever its number or day becomes."""

    uid: str
    day: date
    title: str
    text: str
    url: str


def uid(kind: str, *, person: int, scheme: int, anchor: date, months: int, host: str) -> str:
    """Return the identifier of an event: the same for a cycle, telling nothing about the person."""
    cycle = f"{kind} {person} {scheme} {anchor.isoformat()} {months}"
    return f"{sha256(cycle.encode()).hexdigest()[:32]}@{host}"


def visit_uid(visit: int, *, host: str) -> str:
    """Return the identifier of a visit's entry."""
    return f"{sha256(f'visit {visit}'.encode()).hexdigest()[:32]}@{host}"
