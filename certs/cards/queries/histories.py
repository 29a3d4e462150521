"""What happened to cards: the acts of named people, each with its day and its words."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext as _

from certs.cards.models import Card, Confirmation, Measure
from certs.cards.queries.faces import cards
from certs.cards.rules import local_day


@dataclass(frozen=True, slots=True)
class Happening:
    """What happened to a card on a day, by whom and in whose words; `at` is when it was entered."""

    on: date
    at: datetime
    act: str
    by: str
    words: str


def cards_with_acts() -> QuerySet[Card]:
    """Return cards with everyone who acted on them, for `history`: three queries."""
    return (
        cards()
        .select_related("issued_by", "stands_for")
        .prefetch_related(
            Prefetch("measures", Measure.objects.select_related("by")),
            Prefetch("confirmations", Confirmation.objects.select_related("by")),
        )
    )


def history(card: Card) -> tuple[Happening, ...]:
    """Return what happened to a card, oldest first, from its issue on; loaded by `cards_with_acts` without a query."""
    said = [_issued(card)]
    said += [
        Happening(one.on, one.at, str(one.get_step_display()), one.by.name, one.reason) for one in card.measures.all()
    ]
    said += [_confirmed(one) for one in card.confirmations.all()]
    return tuple(sorted(said, key=lambda one: (one.on, one.at)))


def _issued(card: Card) -> Happening:
    earlier = card.stands_for
    words = _("in place of card %(number)s") % {"number": earlier.number} if earlier else ""
    on = local_day(card.issued_at, card.zone)
    return Happening(on, card.issued_at, str(card.get_ground_display()), card.issued_by.name, words)


def _confirmed(one: Confirmation) -> Happening:
    act = _("doubt entered, %(shots)d bonds") if one.doubts else _("work confirmed, %(shots)d bonds")
    return Happening(one.on, one.entered_at, act % {"shots": one.shots}, one.by.name, one.evidence)
