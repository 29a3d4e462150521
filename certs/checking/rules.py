"""Which key may vouch for which card, and when a list of cards is out of date."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

# A key signs for two years and is followed in good time, so that phones know the next one before it signs.
KEY_MONTHS = 24
OVERLAP_MONTHS = 6
LEAD_DAYS = 30
# A list of cards is made every day and may be relied on for a week.
GOOD_DAYS = 7


class Objection(StrEnum):
    """Why a signature that holds is worth nothing."""

    BROKEN = "broken"
    TOO_LATE = "late"
    TOO_EARLY = "young"


def objection(*, issued_on: date, signs_from: date, signs_to: date, broken_on: date | None) -> Objection | None:
    """Say what stands against a genuine signature; the values are the words of `verdict.js`.

    Whoever holds a broken key can date a card back, so all its cards fall. Else a key vouches for what was issued
    within its days, both included; a card printed again says the first day of the younger key (`cards.queries.says`).
    """
    if broken_on is not None:
        return Objection.BROKEN
    if issued_on > signs_to:
        return Objection.TOO_LATE
    return Objection.TOO_EARLY if issued_on < signs_from else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a list of cards was made from: its day (UTC), how many cards and measures there were, and the key."""

    day: date
    cards: int
    measures: int
    key: str


def good_until(made: datetime) -> datetime:
    """Return the moment up to which a list may be relied on."""
    return made + timedelta(days=GOOD_DAYS)
