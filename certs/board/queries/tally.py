"""How many people there are on a board, and how they stand."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, QuerySet, Value
from django.utils.text import slugify

from certs.board import rules
from certs.board.queries.asked import Asked, Terms, ask, everyone, settled, whom
from certs.board.queries.kept import recall, remember
from certs.board.queries.words import WORDS, value_of
from certs.cards.models import Card, CardQuerySet
from certs.cards.rules import Standing
from training.people.models import Person
from training.prepared import Blank

# More people than this are counted once in ten minutes: counting an industry takes longer than showing a page of it.
FEW = 100
FEW_PEOPLE = Person.objects.filter(pk__among=Blank("people"))


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

    Without a moment they were counted for this very page. `forgiving` says whether slips of the name asked for are.
    """

    people: int
    may_work: int
    cards: Mapping[tuple[int, str], int]
    counted_at: datetime | None = None
    forgiving: bool | None = None

    def holding(self, scheme: int) -> int:
        """Return how many hold a card of the scheme that may be worked under."""
        return sum(n for (one, standing), n in self.cards.items() if one == scheme and Standing(standing).holds)

    def having(self, standing: str) -> int:
        """Return how many cards have a standing, as a filter names it."""
        return sum(n for (_scheme, one), n in self.cards.items() if one == standing)

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


def tally(people: QuerySet[Person], asked: Asked, *, at: datetime) -> Tally:
    """Count everyone asked about; many people are counted anew only after a while."""
    said = f"tally {whom(people)} {asked.said}"
    kept: Tally | None = recall(said, at=at)
    if kept is not None:
        return kept
    asked = settled(people, asked)
    found = ask("some", people, asked, lambda terms: everyone(people, terms).values_list("pk")[: FEW + 1])()
    if len(found) <= FEW:
        # They are counted by number: nobody is looked for twice.
        few = Asked(on=asked.on, today=asked.today, scheme=asked.scheme)
        cards, working = _counted("few", people, few, lambda _terms: FEW_PEOPLE, people=[pk for (pk,) in found])
        return Tally(len(found), working, cards, None, asked.forgiving)
    [(number,)] = ask("people", people, asked, lambda terms: _number(everyone(people, terms)))()
    cards, working = _counted("all", people, asked, lambda terms: everyone(people, terms))
    made = Tally(number, working, cards, at, asked.forgiving)
    remember(said, made)
    return made


def _counted(
    which: str, seen: QuerySet[Person], asked: Asked, of: Callable[[Terms], QuerySet[Person]], **values: Any
) -> tuple[dict[tuple[int, str], int], int]:
    """Return the cards by scheme and standing of people in a query, and how many of them may work."""
    standings = ask("standings", seen, asked, lambda terms: _by_standing(_cards(of(terms), terms), terms), which)
    working = ask("working", seen, asked, lambda terms: _working(_cards(of(terms), terms), terms), which)
    cards = {(scheme, standing): many for scheme, standing, many in standings(**values)}
    return cards, sum(many for (many,) in working(**values))


def _number(people: QuerySet[Person]) -> QuerySet[Any, Any]:
    # The one row of the numbers of all of them.
    return people.order_by().annotate(one=Value(1)).values("one").annotate(many=Count("pk")).values_list("many")


def _cards(people: QuerySet[Person], terms: Terms) -> CardQuerySet:
    cards = Card.objects.newest_on(terms.on).filter(person__in=people)
    return cards if terms.scheme is None else cards.filter(scheme=terms.scheme)


def _by_standing(cards: CardQuerySet, terms: Terms) -> QuerySet[Any, Any]:
    found = cards.with_standing_on(terms.on).values("scheme", "standing").annotate(many=Count("pk"))
    return found.order_by().values_list("scheme", "standing", "many")


def _working(cards: CardQuerySet, terms: Terms) -> QuerySet[Any, Any]:
    working = cards.valid_on(terms.on).order_by().annotate(one=Value(1)).values("one")
    return working.annotate(many=Count("person", distinct=True)).values_list("many")
