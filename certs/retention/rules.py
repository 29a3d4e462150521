"""The terms of retention: which kind of record is kept how long, and why.

Evidence is kept for the validity of the card and one cycle more, then made anonymous (ISO/IEC 17024:2012, 7.1 asks for
at least a full cycle, from memory). The other terms are common practice, no source: local law comes first.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from certs.cards.rules import add_months
from training.mail.rules import GIVEN_UP_AFTER

# Of a person who never held a card: as long as one usual cycle after the last record.
NO_CARD_MONTHS = 36


class Kind(StrEnum):
    """What is held, by kind."""

    ACCOUNT = "account"
    CARDS = "cards"
    PRACTICALS = "practicals"
    PAPERS = "papers"
    WORK = "work"
    LEARNING = "learning"
    SHEET_PHOTOS = "photos of practicals"
    WORK_PHOTOS = "photos of work"
    PORTRAIT = "photo on the card"
    SEEN = "questions seen"
    MAILS = "mails"
    UNSENT = "mails that wait"
    SESSIONS = "sessions"
    TRIES = "tries to sign in"
    LINKS = "links to sign in"
    FEEDS = "calendar feeds"
    TOKENS = "tokens"
    PRINTS = "prints"
    ROSTERS = "rosters"
    AWAY = "days away"
    COMPLAINTS = "complaints"
    OUTSIDERS = "who complained from outside"
    LEDGER = "ledger"
    COPIES = "copies"


class Ends(StrEnum):
    """What happens when the term is over: the row goes, it names nobody any more, or it stays."""

    DELETED = "deleted"
    NAMELESS = "nameless"
    STAYS = "stays"


@dataclass(frozen=True, slots=True)
class Term:
    """How long a kind is kept: so many days after it was made; without days, as long as what it belongs to."""

    days: int | None
    ends: Ends


YEAR = 365
WITH_EVIDENCE = Term(None, Ends.NAMELESS)
TERMS: dict[Kind, Term] = {
    Kind.ACCOUNT: WITH_EVIDENCE,
    Kind.CARDS: WITH_EVIDENCE,
    Kind.PRACTICALS: WITH_EVIDENCE,
    Kind.PAPERS: WITH_EVIDENCE,
    Kind.WORK: WITH_EVIDENCE,
    Kind.LEARNING: WITH_EVIDENCE,
    Kind.SHEET_PHOTOS: Term(None, Ends.DELETED),
    Kind.WORK_PHOTOS: Term(3 * YEAR, Ends.DELETED),
    Kind.PORTRAIT: Term(None, Ends.DELETED),
    Kind.SEEN: Term(31, Ends.DELETED),
    Kind.MAILS: Term(2 * YEAR, Ends.DELETED),
    Kind.UNSENT: Term(GIVEN_UP_AFTER.days, Ends.DELETED),
    Kind.SESSIONS: Term(7, Ends.DELETED),
    Kind.TRIES: Term(90, Ends.DELETED),
    Kind.LINKS: Term(YEAR, Ends.DELETED),
    Kind.FEEDS: Term(None, Ends.DELETED),
    Kind.TOKENS: Term(2 * YEAR, Ends.DELETED),
    Kind.PRINTS: Term(30, Ends.DELETED),
    Kind.ROSTERS: Term(30, Ends.DELETED),
    Kind.AWAY: Term(2 * YEAR, Ends.DELETED),
    Kind.COMPLAINTS: WITH_EVIDENCE,
    Kind.OUTSIDERS: Term(2 * YEAR, Ends.DELETED),
    Kind.LEDGER: Term(None, Ends.STAYS),
    Kind.COPIES: Term(None, Ends.DELETED),
}


def term_over(last_days: list[tuple[date, int]], last_record: date | None) -> date | None:
    """Return the last day on which evidence has to stay, of cards as (last day, months of a cycle).

    Without a card it follows the last record; None means that nothing has to stay.
    """
    if last_days:
        return max(add_months(day, months) for day, months in last_days)
    return add_months(last_record, NO_CARD_MONTHS) if last_record else None
