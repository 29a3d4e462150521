"""Cards, what happened to them, how they stand on a day, and the keys that sign them."""

from certs.cards.models.acts import STEP_WORDS, Confirmation, Measure
from certs.cards.models.as_of import CardQuerySet, LocalDay, revisions_with_a_day, there_is
from certs.cards.models.cards import GROUND_WORDS, KEPT, UNCONFIRMED_WORDS, Card, Past, Terms, facts_of, pasts
from certs.cards.models.keys import CardKey, Signature

__all__ = [
    "GROUND_WORDS",
    "KEPT",
    "STEP_WORDS",
    "UNCONFIRMED_WORDS",
    "Card",
    "CardKey",
    "CardQuerySet",
    "Confirmation",
    "LocalDay",
    "Measure",
    "Past",
    "Signature",
    "Terms",
    "facts_of",
    "pasts",
    "revisions_with_a_day",
    "there_is",
]
