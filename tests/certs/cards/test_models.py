"""What the database itself refuses, and the same day seen by SQL and by the rules."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from certs.cards import rules
from certs.cards.models import Card, Confirmation, Measure
from certs.cards.queries import cards
from certs.cards.rules import Standing, Step
from tests.cast import Cast
from tests.certs import factory
from tests.training.procedures.content import asks, module, revised
from training.bridges.models import Bridge
from training.content.schemes import Unconfirmed
from training.procedures.models import Module, Reading, Revision
from training.procedures.operations import load as load_modules

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
            ({"confirm_next": DUE - DAY}, "A confirmation cannot make work due earlier."),
            (
                {"followed_on": END},
                "Another card follows one that is closed, and starts no earlier.",
            ),
            ({"renew_from": END + DAY}, "Renewal cannot open after the last day."),
            ({"number": 'FB-"1"'}, "Neither a card number nor a time zone holds quotation marks."),
            ({"zone": 'Europe/"London"'}, "Neither a card number nor a time zone holds quotation marks."),
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


LANDED = START + timedelta(days=20)
BY = LANDED + timedelta(days=30)
# What is done about the revision that asks, and on which day.
PROCEDURES: dict[str, dict[str, date]] = {
    "nothing": {},
    "read in time": {"read": BY},
    "read late": {"read": BY + timedelta(days=9)},
    "read and answered in time": {"read": LANDED, "answered": BY},
    "answered late": {"read": LANDED, "answered": BY + timedelta(days=5)},
    "read late and answered": {"read": BY + timedelta(days=9), "answered": BY},
    "a later one read": {"later": BY + timedelta(days=3), "answered": BY},
    "only the older one read": {"older": BY},
    "out of use": {"ended": BY + timedelta(days=4)},
}


def changed_procedure(cast: Cast, demand: str, overdue: str, done: dict[str, date]) -> set[date]:
    """Load two revisions of what the scheme names, the second asking for something, and do some of it as Ada."""
    load_modules([module()], at=factory.noon(START - DAY))
    load_modules([revised(revision=asks(demand, overdue, within_days=30))], at=factory.noon(LANDED))
    asking = Revision.objects.get(number=2)
    rows = {"older": Revision.objects.get(number=1), "read": asking}
    if "later" in done:
        load_modules([module(changed="Back.")], at=factory.noon(LANDED + DAY))
        rows["later"] = Revision.objects.get(number=3)
    for what in done.keys() & rows.keys():
        Reading.objects.create(person=cast.ada, revision=rows[what], read_at=factory.noon(done[what]))
    if "answered" in done:
        at = factory.noon(done["answered"])
        Bridge.objects.create(person=cast.ada, revision=asking, seed="s", opened_at=at, answered_at=at)
    if "ended" in done:
        Module.objects.update(retired_at=factory.noon(done["ended"]))
    return {START, LANDED, BY, *done.values()}


class TestValidOn:
    """`CardQuerySet.valid_on` and `rules.standing` are one rule in two languages."""

    @pytest.mark.parametrize("unconfirmed", list(Unconfirmed))
    @pytest.mark.parametrize("history", HISTORIES)
    def test_agrees_with_the_rules(self, cast: Cast, history: str, unconfirmed: Unconfirmed) -> None:
        """On the eve, the day and the morrow of every date that matters."""
        card = factory.card(cast, cast.ada, on=START, unconfirmed=unconfirmed)
        confirmed, measures = HISTORIES[history]
        for day in confirmed:
            due = rules.confirm_by(cards().get().facts(), on=day)
            days = {"on": day, "entered_on": day, "entered_at": factory.noon(day)}
            after = max(due, rules.add_months(day, 6))
            Confirmation.objects.create(
                card=card, by=cast.sol, shots=1, evidence="job", due_on=due, next_due_on=after, **days
            )
        for step, day in measures:
            Measure.objects.create(card=card, step=step, on=day, at=factory.noon(day), by=cast.max, reason="why")
        factory.change(cards())
        card = cards().get()
        marks = {START, END, DUE, date(2028, 2, 29), date(2028, 1, 31), date(2027, 8, 1), date(2029, 2, 28)}
        marks |= {*confirmed, *(rules.add_months(day, 6) for day in confirmed), *(day for _step, day in measures)}
        for on in sorted({day + offset for day in marks for offset in (-DAY, timedelta(0), DAY)}):
            expected = rules.standing(card.facts(), on=on).standing.holds
            assert Card.objects.valid_on(on).exists() is expected, on

    @pytest.mark.parametrize("demand", ["read", "answer"])
    @pytest.mark.parametrize("overdue", ["due", "stops"])
    @pytest.mark.parametrize("done", PROCEDURES)
    def test_agrees_about_changed_procedures(self, cast: Cast, demand: str, overdue: str, done: str) -> None:
        """A second revision lands after the card and is read, answered, superseded or out of use, or nothing."""
        card = factory.card(cast, cast.ada, on=START, confirm_months=48)
        days = changed_procedure(cast, demand, overdue, PROCEDURES[done])
        for on in sorted({day + offset for day in days for offset in (-DAY, timedelta(0), DAY)}):
            expected = rules.standing(card.facts(), on=on).standing.holds
            assert Card.objects.valid_on(on).exists() is expected, on

    def test_asks_nothing_of_a_card_issued_after_it_landed(self, cast: Cast) -> None:
        """Nor of one whose scheme names other modules."""
        changed_procedure(cast, "read", "stops", {})
        factory.card(cast, cast.ada, on=LANDED + DAY, confirm_months=48)
        factory.card(cast, cast.ben, on=START, slug="leads", modules=("pipes",), confirm_months=48)
        late = LANDED + timedelta(days=90)
        assert Card.objects.valid_on(late).count() == 2
        assert {rules.standing(card.facts(), on=late).standing for card in cards()} == {Standing.CURRENT}

    def test_counts_the_local_day_of_the_card(self, cast: Cast) -> None:
        """Read at 22:30 UTC on 8 June, which is 23:30 of the 8th in London and 7:30 of the 9th in Tokyo."""
        changed_procedure(cast, "read", "stops", {})
        cards_by_zone = [
            factory.card(cast, cast.ada, on=START, confirm_months=48),
            factory.card(cast, cast.ada, on=START, slug="leads", zone="Asia/Tokyo", confirm_months=48),
        ]
        read_at = datetime(2027, 6, 8, 22, 30, tzinfo=UTC)
        Reading.objects.create(person=cast.ada, revision=Revision.objects.get(number=2), read_at=read_at)
        for card, first in zip(cards_by_zone, (date(2027, 6, 8), date(2027, 6, 9)), strict=True):
            for on, holds in ((first - DAY, False), (first, True)):
                assert rules.standing(card.facts(), on=on).standing.holds is holds
                assert Card.objects.filter(pk=card.pk).valid_on(on).exists() is holds
