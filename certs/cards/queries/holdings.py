"""How the cards of many people stand, for lists: no more is loaded of a card than a list shows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import DateField, F

from certs.cards import rules
from certs.cards.models import Card, Past, facts_of, pasts
from certs.cards.queries.faces import OWING, Owing, owed, warning
from certs.cards.rules import Standing
from training.prepared import Blank, Prepared


@dataclass(frozen=True, slots=True)
class Holding:
    """How a card stands on a day, without the facts that only its face shows: a board has many."""

    number: str
    scheme: str
    issue: int
    standing: Standing
    day: date
    valid_from: date
    last_day: date
    zone: str
    confirmed_to: date
    warning: str
    owed: tuple[Owing, ...]


@dataclass(slots=True)
class _Row:
    """The columns of a card that its standing depends on."""

    pk: int
    person_id: int
    scheme_id: int
    number: str
    held_since: date
    valid_from: date
    last_day: date
    zone: str
    renew_months: int
    grace_months: int
    confirm_by: date
    confirm_months: int
    unconfirmed: str
    modules: Sequence[str]
    scheme: str
    issue: int


def _cards() -> Any:
    issued = Card.objects.filter(person__among=Blank("people"), valid_from__lte=Blank("on", DateField()))
    rows = issued.annotate(named=F("scheme_issue__body__modules")).order_by("valid_from", "pk")
    # The last three come of the issue of the scheme.
    return rows.values_list(*_Row.__slots__[:-3], "named", "scheme_issue__title", "scheme_issue__number")


CARDS = Prepared(_cards)


def holdings(person_ids: Iterable[int], *, on: date) -> dict[tuple[int, int], Holding]:
    """Return how each person stands under each scheme: by the newest card issued by the day. Three queries."""
    rows = CARDS.rows(people=list(person_ids), on=on)
    newest = {(row.person_id, row.scheme_id): row for row in (_Row(*columns) for columns in rows)}
    known = pasts(newest.values())
    return {named: _holding(row, known[row.pk], on=on) for named, row in newest.items()}


def _holding(card: _Row, past: Past, *, on: date) -> Holding:
    facts = facts_of(card, past)
    state = rules.standing(facts, on=on)
    return Holding(
        number=card.number,
        scheme=card.scheme,
        issue=card.issue,
        standing=state.standing,
        day=state.day,
        valid_from=card.valid_from,
        last_day=card.last_day,
        zone=card.zone,
        confirmed_to=rules.confirm_by(facts, on=on),
        warning=warning(state),
        owed=owed(past, card.zone, on=on) if state.standing in OWING else (),
    )
