"""How many people there are on a board, and how they stand."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.cache import cache
from django.core.exceptions import EmptyResultSet
from django.db.models import Count, QuerySet
from django.utils.text import slugify

from certs.board import rules
from certs.board.queries.words import WORDS, value_of
from certs.cards.models import Card
from certs.cards.rules import Standing
from training.people.models import Person

# More people than this are counted once in KEPT_FOR: counting a whole industry takes longer than showing a page of it.
FEW = 500
KEPT_FOR = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class StandingCount:
    """How often a standing occurs among the people asked about; `value` is what a filter takes."""

    value: str
    words: str
    shape: str
    number: int


@dataclass(frozen=True, slots=True)
class Tally:
    """Everyone asked about, in numbers: cards by scheme and standing, people who may work under any, and when counted.

    Without a moment they were counted for this very page.
    """

    people: int
    may_work: int
    cards: Mapping[tuple[int, str], int]
    counted_at: datetime | None = None

    def holding(self, scheme: int) -> int:
        """Return how many hold a card of the scheme that may be worked under."""
        return sum(n for (one, standing), n in self.cards.items() if one == scheme and Standing(standing).holds)

    def counts(self, schemes: set[int]) -> tuple[StandingCount, ...]:
        """Return how often each standing occurs; who lacks a card of one of the schemes counts as without."""
        found: dict[Standing | None, int] = {}
        for (_scheme, standing), number in self.cards.items():
            found[Standing(standing)] = found.get(Standing(standing), 0) + number
        held = sum(number for (scheme, _standing), number in self.cards.items() if scheme in schemes)
        found[None] = len(schemes) * self.people - held
        return tuple(
            StandingCount(value_of(one), str(WORDS[one]), slugify(one) if one else "none", number)
            for one, number in rules.in_order(found)
        )


def tally(people: QuerySet[Person], *, on: date, scheme: int | None, at: datetime) -> Tally:
    """Count everyone; many people are counted anew only after a while."""
    try:
        key = "board-" + hashlib.sha256(f"{on} {scheme} {people.query}".encode()).hexdigest()
    except EmptyResultSet:
        return Tally(0, 0, {})
    kept: Tally | None = cache.get(key)
    if kept is not None and at - KEPT_FOR < kept.counted_at <= at:  # type: ignore[operator]
        return kept
    number = people[: FEW + 1].count()
    if number <= FEW:
        return _counted(people, number, on=on, scheme=scheme, at=None)
    made = _counted(people, people.count(), on=on, scheme=scheme, at=at)
    cache.set(key, made, KEPT_FOR.total_seconds())
    return made


def _counted(people: QuerySet[Person], number: int, *, on: date, scheme: int | None, at: datetime | None) -> Tally:
    cards = Card.objects.newest_on(on).filter(person__in=people)
    if scheme is not None:
        cards = cards.filter(scheme=scheme)
    found = cards.with_standing_on(on).values("scheme", "standing").annotate(many=Count("pk")).order_by()
    working = cards.valid_on(on).aggregate(many=Count("person", distinct=True))
    return Tally(
        people=number,
        may_work=working["many"],
        cards={(row["scheme"], row["standing"]): row["many"] for row in found},
        counted_at=at,
    )
