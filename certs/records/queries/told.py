"""What was done to a person's own cards of late: told on their first page, with the day, by whom, and the reason."""

from dataclasses import dataclass
from datetime import date, timedelta

from certs.cards.queries import Happening, cards_with_acts, history
from training.people.models import Person

# Long enough to be seen after a holiday and a round of shifts; the record keeps them all.
LATELY = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class Told:
    """An act on one of the person's cards."""

    number: str
    scheme: str
    happening: Happening


def told(person: Person, *, on: date) -> tuple[Told, ...]:
    """Return what was done to a person's cards in the last LATELY, the newest first: three queries."""
    found = [
        Told(card.number, card.scheme_issue.title, one)
        for card in cards_with_acts().filter(person=person).order_by("-pk")
        for one in history(card)
        if on - LATELY <= one.on <= on
    ]
    return tuple(sorted(found, key=lambda one: (one.happening.on, one.happening.at), reverse=True))
