"""What the database itself refuses, and the same day seen by SQL and by the rules."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from certs.cards import rules
from certs.cards.models import Card, Confirmation, Measure
from certs.cards.queries import cards
from certs.cards.rules import Step
from tests.cast import Cast
from tests.certs import factory
from training.content.schemes import Unconfirmed

START = date(2026, 8, 31)
DUE = date(2027, 2, 28)
END = date(2029, 8, 30)
DAY = timedelta(days=1)


@pytest.fixture
def card(cast: Cast) -> Card:
    return factory.card(cast, cast.ada, on=START)


def refused(row: Any, sentence: str) -> None:
    """Both doors are shut: the form's with a sentence, the table's with an error."""
    with pytest.raises(ValidationError) as caught:
        row.validate_constraints()
    assert sentence in caught.value.messages
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


class TestCardConstraints:
    """Each has its message and holds without any form."""

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"last_day": START - DAY}, "A card cannot end before it starts."),
            ({"anchor": START + DAY}, "A card cannot start before its tests were passed."),
            ({"confirm_by": START - DAY}, "Work would have to be confirmed before the card starts."),
            ({"unconfirmed": "sings"}, "Unconfirmed work either stops a card or warns."),
        ],
    )
    def test_refuse_a_card_that_cannot_be(self, card: Card, changes: dict[str, Any], sentence: str) -> None:
        """Days in order, known words."""
        for name, value in changes.items():
            setattr(card, name, value)
        refused(card, sentence)

    def test_refuse_a_card_to_oneself(self, card: Card) -> None:
        """The issuer is another person."""
        card.issued_by_id = card.person_id
        refused(card, "Nobody issues their own card: another person must.")

    def test_refuse_a_second_open_card(self, card: Card, cast: Cast) -> None:
        """One card of a scheme at a time."""
        other = factory.signoff(cast.ada, card.scheme_issue, assessor=cast.olga, on=START)
        card.pk, card.number, card.evidence = None, "FB-OTHER", other
        refused(card, "This person already holds a card of this scheme.")

    def test_keep_the_evidence(self, card: Card) -> None:
        """A sign-off that earned a card cannot be deleted."""
        with pytest.raises(IntegrityError), transaction.atomic():
            card.evidence.delete()


class TestMeasureConstraints:
    """A measure is one of four and has a reason."""

    @pytest.mark.parametrize(
        ("step", "reason", "sentence"),
        [
            ("eaten", "why", "Choose one of the measures in the list."),
            ("suspended", "", "Write the reason: it stays on the record."),
        ],
    )
    def test_refuse(self, card: Card, cast: Cast, step: str, reason: str, sentence: str) -> None:
        """Both are checked by the table."""
        refused(Measure(card=card, step=step, reason=reason, by=cast.max, on=START, at=factory.noon(START)), sentence)


class TestConfirmationConstraints:
    """A confirmation counts from the day of entry and names its evidence."""

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"on": START - DAY}, "A confirmation counts from the day it is entered."),
            ({"evidence": ""}, "Name the evidence, such as job numbers."),
        ],
    )
    def test_refuse(self, card: Card, cast: Cast, changes: dict[str, Any], sentence: str) -> None:
        """Both are checked by the table."""
        facts: dict[str, Any] = {"on": START, "evidence": "job 1", **changes}
        days = {"due_on": DUE, "next_due_on": DUE, "entered_on": START, "entered_at": factory.noon(START)}
        refused(Confirmation(card=card, by=cast.sol, shots=3, **days, **facts), sentence)


HISTORIES: dict[str, tuple[tuple[date, ...], tuple[tuple[Step, date], ...]]] = {
    "nothing": ((), ()),
    "confirmed": ((date(2027, 2, 1),), ()),
    "confirmed on the due day": ((DUE,), ()),
    "confirmed late": ((DUE + DAY,), ()),
    "confirmed twice": ((date(2027, 2, 1), date(2027, 7, 31)), ()),
    "suspended": ((DUE,), ((Step.SUSPENDED, date(2027, 1, 5)),)),
    "reinstated": ((DUE,), ((Step.SUSPENDED, date(2027, 1, 5)), (Step.REINSTATED, date(2027, 1, 9)))),
    "suspended and reinstated in a day": (
        (DUE,),
        ((Step.SUSPENDED, date(2027, 1, 5)), (Step.REINSTATED, date(2027, 1, 5))),
    ),
    "suspended again": (
        (DUE,),
        (
            (Step.SUSPENDED, date(2027, 1, 5)),
            (Step.REINSTATED, date(2027, 1, 9)),
            (Step.SUSPENDED, date(2027, 1, 9)),
        ),
    ),
    "withdrawn": ((DUE,), ((Step.WITHDRAWN, date(2027, 3, 3)),)),
    "replaced": ((DUE,), ((Step.REPLACED, date(2027, 3, 3)),)),
}


class TestValidOn:
    """`CardQuerySet.valid_on` and `rules.standing` are one rule in two languages."""

    @pytest.mark.parametrize("unconfirmed", list(Unconfirmed))
    @pytest.mark.parametrize("history", HISTORIES)
    def test_agrees_with_the_rules(self, cast: Cast, history: str, unconfirmed: Unconfirmed) -> None:
        """On the eve, the day and the morrow of every date that matters."""
        card = factory.card(cast, cast.ada, on=START, unconfirmed=unconfirmed)
        confirmed, measures = HISTORIES[history]
        for day in confirmed:
            due = rules.confirm_by(cards().get().facts, on=day)
            days = {"on": day, "entered_on": day, "entered_at": factory.noon(day)}
            after = max(due, rules.add_months(day, 6))
            Confirmation.objects.create(
                card=card, by=cast.sol, shots=1, evidence="job", due_on=due, next_due_on=after, **days
            )
        for step, day in measures:
            Measure.objects.create(card=card, step=step, on=day, at=factory.noon(day), by=cast.max, reason="why")
        card = cards().get()
        marks = {START, END, DUE, date(2028, 2, 29), date(2028, 1, 31), date(2027, 8, 1), date(2029, 2, 28)}
        marks |= {*confirmed, *(rules.add_months(day, 6) for day in confirmed), *(day for _step, day in measures)}
        for on in sorted({day + offset for day in marks for offset in (-DAY, timedelta(0), DAY)}):
            expected = rules.standing(card.facts, on=on).standing.holds
            assert Card.objects.valid_on(on).exists() is expected, on
