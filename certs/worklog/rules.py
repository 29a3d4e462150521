"""Which bonds count towards the next confirmation of work, and which entries cannot be right."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

# The kind of record its photos name.
KIND = "bonds"
MOST_BONDS = 500
# A phone left in a drawer is still believed for this long; the card asks for a confirmation twice in that time.
DAYS_BACK = 366


class Slip(StrEnum):
    """What is wrong with the day of an entry."""

    FUTURE = "future"
    OLD = "old"


@dataclass(frozen=True, slots=True)
class Span:
    """What an entry must fall in to count: done on a day of the card, received since the last confirmation.

    `confirmed_at` is the moment at which work was last confirmed under this card, if ever.
    """

    valid_from: date
    confirmed_at: datetime | None
    on: date

    def counts(self, done_on: date, received_at: datetime) -> bool:
        """Say whether an entry is evidence for the next confirmation: each counts once, also one that came late."""
        fresh = self.confirmed_at is None or received_at > self.confirmed_at
        return fresh and self.valid_from <= done_on <= self.on


def slip(done_on: date, *, on: date) -> Slip | None:
    """Return what is wrong with the day of an entry that is received on a day, if anything."""
    if done_on > on:
        return Slip.FUTURE
    return Slip.OLD if done_on < on - timedelta(days=DAYS_BACK) else None


def listed(jobs: Iterable[str]) -> str:
    """Return the job numbers of entries as one line, each once, in the order they came."""
    return ", ".join(dict.fromkeys(job for job in jobs if job))
