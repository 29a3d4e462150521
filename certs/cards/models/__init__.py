"""Cards, what happened to them, how they stand on a day, and the keys that sign them."""

from certs.cards.models.acts import STEP_WORDS, Confirmation, Measure
from certs.cards.models.as_of import CardQuerySet, LocalDay, there_is
from certs.cards.models.cards import GROUND_WORDS, UNCONFIRMED_WORDS, Card, Past, Terms, facts_of, pasts
from certs.cards.models.keys import CardKey, Signature

__all__ = [
    "GROUND_WORDS",
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
    "there_is",
]
