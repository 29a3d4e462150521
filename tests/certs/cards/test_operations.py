"""Issuing, confirming and measures, with what each refuses."""

from datetime import date, timedelta

import pytest

from certs.cards import operations
from certs.cards.models import Card
from certs.cards.operations import CardRefused, ConfirmationRefused, MeasureRefused
from certs.cards.queries import cards, face
from certs.cards.rules import Standing, Step
from tests.cast import ON, Cast
from tests.certs import factory
from training.content.schemes import Unconfirmed
from training.ledger.models import Entry
from training.ledger.queries import fault

DAY = timedelta(days=1)
END = date(2029, 11, 24)
DUE = date(2027, 5, 25)


def confirm(card: Card, cast: Cast, on: date, *, doubts: bool = False, entered: date | None = None) -> None:
    operations.confirm(
        card=card,
        by=cast.sol,
        shots=12,
        evidence="jobs 7 and 8",
        doubts=doubts,
        on=on,
        at=factory.noon(entered or on),
    )


def measure(card: Card, cast: Cast, step: Step, on: date) -> None:
    operations.measure(card=card, step=step, by=cast.max, reason="Event of that day", on=on, at=factory.noon(on))


def standing(card: Card, on: date) -> Standing:
    return face(cards().get(pk=card.pk), on=on).standing


class TestIssue:
    """A card follows from its scheme and its practical."""

    def test_counts_from_the_practical_and_starts_on_the_decision(self, cast: Cast) -> None:
        """Passed on the 20th, decided on the 25th: nobody held the card in between."""
        card = factory.card(cast, cast.ada, on=ON, passed_on=date(2026, 11, 20))
        assert (card.anchor, card.valid_from, card.last_day) == (date(2026, 11, 20), ON, date(2029, 11, 19))
        assert (card.holder_name, card.issuer_name) == ("Ada Crew", "Certification body")

    def test_takes_the_local_day_of_the_scheme(self, cast: Cast) -> None:
        """Half past eleven at night in Greenwich is the next day in Sydney."""
        issue = factory.scheme_issue(zone="Australia/Sydney")
        signed = factory.signoff(cast.ada, issue, assessor=cast.olga, on=ON)
        at = factory.noon(ON) + timedelta(hours=11, minutes=30)
        card = operations.issue(
            person=cast.ada, scheme_issue=issue, evidence_id=signed.pk, passed_on=ON, issued_by=cast.olga, at=at
        )
        assert card.valid_from == ON + DAY

    def test_gives_the_same_card_for_the_same_evidence(self, cast: Cast) -> None:
        """Sent twice, issued once."""
        card = factory.card(cast, cast.ada, on=ON)
        again = operations.issue(
            person=cast.ada,
            scheme_issue=card.scheme_issue,
            evidence_id=card.evidence_id,
            passed_on=ON,
            issued_by=cast.olga,
            at=factory.noon(ON + DAY),
        )
        assert again == card
        assert Entry.objects.filter(act="card issued").count() == 1

    @pytest.mark.parametrize(
        ("decided_on", "valid_to"),
        [
            (date(2029, 5, 23), date(2032, 5, 22)),
            (date(2029, 5, 24), date(2032, 11, 24)),
            (date(2030, 3, 1), date(2032, 11, 24)),
            (date(2030, 5, 25), date(2033, 5, 24)),
        ],
    )
    def test_renews_and_replaces_the_card_before(self, cast: Cast, decided_on: date, valid_to: date) -> None:
        """Early anew; in the window and in grace with the anniversary; after that anew."""
        old = factory.card(cast, cast.ada, on=ON)
        new = factory.card(cast, cast.ada, on=decided_on)
        assert (new.valid_from, new.last_day) == (decided_on, valid_to)
        assert standing(old, decided_on) is Standing.REPLACED
        assert standing(old, decided_on - DAY) is not Standing.REPLACED
        assert Card.objects.filter(closed_at=None).get() == new

    def test_starts_anew_after_a_withdrawal(self, cast: Cast) -> None:
        """Nothing of a withdrawn card is kept, and it stays withdrawn."""
        old = factory.card(cast, cast.ada, on=ON)
        measure(old, cast, Step.WITHDRAWN, date(2029, 9, 1))
        new = factory.card(cast, cast.ada, on=date(2029, 10, 1))
        assert new.anchor == date(2029, 10, 1)
        assert standing(old, date(2029, 10, 1)) is Standing.WITHDRAWN

    def test_refuses_while_the_old_card_is_suspended(self, cast: Cast) -> None:
        """A suspension is settled by a person, not slipped past."""
        measure(factory.card(cast, cast.ada, on=ON), cast, Step.SUSPENDED, ON + DAY)
        with pytest.raises(CardRefused, match="is suspended"):
            factory.card(cast, cast.ada, on=ON + 2 * DAY)

    def test_refuses_an_old_practical(self, cast: Cast) -> None:
        """Past the first due day the card would be born dead."""
        with pytest.raises(CardRefused, match="by 25 May 2027"):
            factory.card(cast, cast.ada, on=DUE + DAY, passed_on=ON)

    def test_refuses_a_practical_in_the_future(self, cast: Cast) -> None:
        """Signed for tomorrow is not passed."""
        with pytest.raises(CardRefused, match="future"):
            factory.card(cast, cast.ada, on=ON, passed_on=ON + DAY)

    def test_refuses_oneself(self, cast: Cast) -> None:
        """The issuer is another person."""
        issue = factory.scheme_issue()
        signed = factory.signoff(cast.ada, issue, assessor=cast.olga, on=ON)
        with pytest.raises(CardRefused, match="own card"):
            operations.issue(
                person=cast.ada,
                scheme_issue=issue,
                evidence_id=signed.pk,
                passed_on=ON,
                issued_by=cast.ada,
                at=factory.noon(ON),
            )


class TestConfirm:
    """Work is confirmed in time or not at all."""

    def test_moves_the_due_day_from_its_own(self, cast: Cast) -> None:
        """Confirmed on the due day itself: six months more."""
        card = factory.card(cast, cast.ada, on=ON)
        confirm(card, cast, DUE)
        assert face(cards().get(), on=DUE + DAY).confirmed_to == date(2027, 11, 25)
        assert Entry.objects.filter(act="work confirmed").count() == 1

    def test_is_one_when_the_button_is_pressed_twice(self, cast: Cast) -> None:
        """A doubt is not: the card may have been reinstated in between."""
        card = factory.card(cast, cast.ada, on=ON)
        for doubts in (False, False, True, True):
            confirm(card, cast, ON + DAY, doubts=doubts)
        assert [one.doubts for one in card.confirmations.order_by("pk")] == [False, True, True]

    def test_comes_too_late(self, cast: Cast) -> None:
        """One day after, the card has stopped."""
        with pytest.raises(ConfirmationRefused, match="does not mend"):
            confirm(factory.card(cast, cast.ada, on=ON), cast, DUE + DAY)

    def test_may_be_late_where_a_scheme_only_warns(self, cast: Cast) -> None:
        """It ends the warning."""
        card = factory.card(cast, cast.ada, on=ON, unconfirmed=Unconfirmed.WARNS)
        assert "was not" in face(cards().get(), on=DUE + DAY).warning
        confirm(card, cast, DUE + DAY)
        assert face(cards().get(), on=DUE + DAY).warning == ""

    def test_with_a_doubt_suspends_at_once(self, cast: Cast) -> None:
        """And does not count as a confirmation."""
        card = factory.card(cast, cast.ada, on=ON)
        confirm(card, cast, ON + DAY, doubts=True)
        assert standing(card, ON + DAY) is Standing.SUSPENDED
        assert face(cards().get(), on=ON + DAY).confirmed_to == DUE
        confirm(card, cast, ON + 2 * DAY, doubts=True)
        assert card.measures.count() == 1

    def test_with_a_doubt_is_never_too_late(self, cast: Cast) -> None:
        """A card that only stopped is suspended on top."""
        card = factory.card(cast, cast.ada, on=ON)
        confirm(card, cast, DUE + DAY, doubts=True)
        assert standing(card, DUE + DAY) is Standing.SUSPENDED

    def test_cannot_be_dated_back(self, cast: Cast) -> None:
        """Entered on the morrow for the day before."""
        with pytest.raises(ConfirmationRefused, match="from the day it is entered"):
            confirm(factory.card(cast, cast.ada, on=ON), cast, DUE, entered=DUE + DAY)

    def test_is_not_for_a_card_out_of_force(self, cast: Cast) -> None:
        """Run out is run out."""
        with pytest.raises(ConfirmationRefused, match="not in force"):
            confirm(factory.card(cast, cast.ada, on=ON), cast, END + DAY)

    def test_is_not_for_oneself(self, cast: Cast) -> None:
        """A supervisor with a card needs another supervisor."""
        with pytest.raises(ConfirmationRefused, match="own work"):
            confirm(factory.card(cast, cast.sol, on=ON), cast, ON)


class TestMeasure:
    """Dated, reasoned, by another person."""

    def test_suspends_reinstates_and_withdraws(self, cast: Cast) -> None:
        """Each day keeps what stood on it, and the ledger stays whole."""
        card = factory.card(cast, cast.ada, on=ON)
        for offset, step in enumerate([Step.SUSPENDED, Step.REINSTATED, Step.WITHDRAWN], start=1):
            measure(card, cast, step, ON + offset * DAY)
        assert [standing(card, ON + offset * DAY) for offset in range(4)] == [
            Standing.CURRENT,
            Standing.SUSPENDED,
            Standing.CURRENT,
            Standing.WITHDRAWN,
        ]
        assert list(Entry.objects.order_by("seq").values_list("act", flat=True)) == [
            "card issued",
            "card suspended",
            "card reinstated",
            "card withdrawn",
        ]
        assert fault() == ""

    @pytest.mark.parametrize("step", list(Step))
    def test_cannot_bring_back_a_withdrawn_card(self, cast: Cast, step: Step) -> None:
        """A new decision is needed."""
        card = factory.card(cast, cast.ada, on=ON)
        measure(card, cast, Step.WITHDRAWN, ON)
        with pytest.raises(MeasureRefused, match="cannot be done"):
            measure(card, cast, step, ON)

    def test_cannot_replace_by_hand(self, cast: Cast) -> None:
        """Only a new card replaces one."""
        with pytest.raises(MeasureRefused):
            measure(factory.card(cast, cast.ada, on=ON), cast, Step.REPLACED, ON)

    def test_cannot_be_dated_otherwise(self, cast: Cast) -> None:
        """The past does not change."""
        card = factory.card(cast, cast.ada, on=ON)
        with pytest.raises(MeasureRefused, match="on the day it is entered"):
            operations.measure(
                card=card, step=Step.SUSPENDED, by=cast.max, reason="why", on=ON - DAY, at=factory.noon(ON)
            )

    def test_is_not_for_ones_own_card(self, cast: Cast) -> None:
        """Not even for an administrator."""
        card = factory.card(cast, cast.max, on=ON)
        with pytest.raises(MeasureRefused, match="own card"):
            measure(card, cast, Step.SUSPENDED, ON)
