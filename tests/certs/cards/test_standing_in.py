"""A card in the place of another: lost, or with a reduced scope."""

from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from certs.cards import operations
from certs.cards.models import Card, Measure
from certs.cards.operations import StandInRefused
from certs.cards.queries import cards, cards_with_acts, face, history, standings
from certs.cards.rules import Ground, Standing, Step
from certs.worklog.queries import evidence
from tests.cast import AT, ON, Cast
from tests.certs import factory
from tests.certs.worklog.making import record
from tests.training.procedures.content import asks, module, revised
from training.content.schemes import Unconfirmed
from training.ledger.models import Entry
from training.ledger.queries import fault
from training.procedures.operations import load as load_modules

DAY = timedelta(days=1)
LATER = date(2027, 3, 1)


@pytest.fixture
def card(cast: Cast) -> Card:
    return factory.card(cast, cast.ada, on=ON)


def lose(card: Card, cast: Cast, on: date = LATER) -> Card:
    return operations.replace_lost(card=card, by=cast.max, reason="Lost on site", on=on, at=factory.noon(on))


def narrow(card: Card, cast: Cast, on: date = LATER, **changes: Any) -> Card:
    words = {"scope": "Bonds to the web only.", "limits": card.limits, "reason": "Joints of the foot failed"}
    return operations.reduce_scope(card=card, by=cast.max, on=on, at=factory.noon(on), **words | changes)


def standing(card: Card, on: date) -> Standing:
    return face(cards().get(pk=card.pk), on=on).standing


def measure(card: Card, cast: Cast, step: Step, on: date) -> None:
    operations.measure(card=card, step=step, by=cast.max, reason="Event", on=on, at=factory.noon(on))


class TestLost:
    def test_has_the_days_and_the_scope_of_the_old_one(self, cast: Cast, card: Card) -> None:
        """Another number, valid from today; the anniversary, the last day and the due day stay."""
        new = lose(card, cast)
        kept = (
            "anchor",
            "months",
            "last_day",
            "confirm_by",
            "scope",
            "limits",
            "evidence_id",
            "held_since",
            "person_id",
        )
        assert [getattr(new, name) for name in kept] == [getattr(card, name) for name in kept]
        assert new.number != card.number
        assert (new.valid_from, new.ground, new.stands_for, new.issued_by) == (LATER, Ground.LOST, card, cast.max)
        assert fault() == ""
        assert Entry.objects.filter(act="card issued, lost", by=cast.max.pk).count() == 1

    def test_changes_no_past_day(self, cast: Cast, card: Card) -> None:
        """The old number counts to the eve and no longer; the board of each day shows the one that counted."""
        new = lose(card, cast)
        assert (standing(card, LATER - DAY), standing(card, LATER)) == (Standing.CURRENT, Standing.REPLACED)
        assert (standing(new, LATER - DAY), standing(new, LATER)) == (Standing.NOT_YET_VALID, Standing.CURRENT)
        shown = [standings([cast.ada.pk], on=on)[cast.ada.pk, card.scheme_id].number for on in (LATER - DAY, LATER)]
        assert shown == [card.number, new.number]

    def test_may_be_lost_again_and_renewed(self, cast: Cast, card: Card) -> None:
        """Each stands for the one before; renewal in the window keeps the first anniversary."""
        third = lose(lose(card, cast), cast, LATER + DAY)
        assert third.held_since == ON
        operations.confirm(
            card=third,
            by=cast.sol,
            shots=3,
            evidence="job 1",
            doubts=False,
            on=LATER + DAY,
            at=factory.noon(LATER + DAY),
        )
        renewed = factory.card(cast, cast.ada, on=date(2029, 10, 1))
        assert (renewed.anchor, renewed.last_day) == (ON, date(2032, 11, 24))
        assert renewed.held_since == date(2029, 10, 1)

    def test_counts_work_from_before(self, cast: Cast, card: Card) -> None:
        """What was confirmed under the old number is not asked for again, and what was not yet is not lost."""
        before = LATER - 2 * DAY
        record(cast.ada, card.scheme, done_on=before, bonds=4, at=factory.noon(before))
        operations.confirm(
            card=card, by=cast.sol, shots=4, evidence="job", doubts=False, on=LATER - DAY, at=factory.noon(LATER - DAY)
        )
        record(cast.ada, card.scheme, done_on=LATER, bonds=3, at=factory.noon(LATER))
        new = lose(card, cast)
        assert evidence(cards().get(pk=new.pk), on=LATER).bonds == 3

    def test_keeps_what_a_procedure_asks(self, cast: Cast, card: Card) -> None:
        """Losing a card is no way round a changed procedure; the rules and the database agree."""
        load_modules([module()], at=factory.noon(ON - DAY))
        load_modules([revised(revision=asks("read", "stops", within_days=30))], at=factory.noon(ON + 5 * DAY))
        stopped = ON + 40 * DAY
        assert standing(card, stopped) is Standing.PROCEDURE_OVERDUE
        new = lose(card, cast, stopped)
        assert standing(new, stopped) is Standing.PROCEDURE_OVERDUE
        assert not Card.objects.valid_on(stopped).exists()

    def test_is_due_today_where_unconfirmed_work_warns(self, cast: Cast) -> None:
        """The due day was in May 2027; a new number does not mend it beyond the day."""
        card = factory.card(cast, cast.ada, on=ON, unconfirmed=Unconfirmed.WARNS)
        new = lose(card, cast, date(2027, 7, 1))
        assert new.confirm_by == date(2027, 7, 1)
        assert "Work was to be confirmed" in face(cards().get(pk=new.pk), on=date(2027, 7, 2)).warning


class TestReduced:
    def test_has_the_narrower_scope(self, cast: Cast, card: Card) -> None:
        """The old words stay on the old card."""
        new = narrow(card, cast)
        assert (new.scope, new.limits, new.ground) == ("Bonds to the web only.", card.limits, Ground.REDUCED)
        assert Card.objects.get(pk=card.pk).scope == card.scope
        assert Measure.objects.get(card=card).reason == "Joints of the foot failed"

    def test_refuses_the_same_words(self, cast: Cast, card: Card) -> None:
        """Nothing would be reduced."""
        with pytest.raises(StandInRefused, match="as they were"):
            narrow(card, cast, scope=card.scope)


class TestRefused:
    @pytest.mark.parametrize("act", [lose, narrow])
    def test_to_oneself(self, cast: Cast, card: Card, act: Any) -> None:
        """Nobody decides about their own card."""
        cast.max = cast.ada
        with pytest.raises(StandInRefused, match="their own card"):
            act(card, cast)

    @pytest.mark.parametrize("act", [lose, narrow])
    @pytest.mark.parametrize(
        ("step", "why"),
        [(Step.SUSPENDED, "is suspended"), (Step.WITHDRAWN, "not in force"), (Step.REPLACED, "not in force")],
    )
    def test_for_a_card_that_was_stopped(self, cast: Cast, card: Card, act: Any, step: Step, why: str) -> None:
        """A suspension is settled first; what is closed stays closed."""
        if step is Step.REPLACED:
            lose(card, cast)
        else:
            measure(card, cast, step, LATER)
        with pytest.raises(StandInRefused, match=why):
            act(card, cast)

    def test_once_work_was_not_confirmed(self, cast: Cast, card: Card) -> None:
        """A new number would mend it."""
        with pytest.raises(StandInRefused, match="test again"):
            lose(card, cast, date(2027, 6, 1))

    def test_for_another_day(self, cast: Cast, card: Card) -> None:
        """Nothing is back-dated."""
        with pytest.raises(StandInRefused, match="the day it is entered"):
            operations.replace_lost(card=card, by=cast.max, reason="Lost", on=LATER - DAY, at=factory.noon(LATER))


class TestConstraints:
    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"ground": "lost"}, "A card follows from a practical, or stands in for another card."),
            ({"ground": "gift"}, "A card follows from a practical, or stands in for another card."),
            ({"held_since": ON + DAY}, "A card cannot be held from a day after it starts."),
        ],
    )
    def test_say_why(self, card: Card, changes: dict[str, Any], sentence: str) -> None:
        """By their own words."""
        for name, value in changes.items():
            setattr(card, name, value)
        with pytest.raises(ValidationError) as caught:
            card.validate_constraints()
        assert sentence in caught.value.messages


class TestHistory:
    def test_begins_with_the_issue(self, cast: Cast, card: Card) -> None:
        """By whom, and on what."""
        new = lose(card, cast)
        old, now = (history(cards_with_acts().get(pk=one.pk)) for one in (card, new))
        assert [(one.on, one.act, one.by) for one in old] == [
            (ON, "issued on a practical", "Olga Assessor"),
            (LATER, "replaced", "Max Administrator"),
        ]
        assert old[1].words == "Lost on site"
        assert [(one.act, one.words) for one in now] == [("issued for a lost card", f"in place of card {card.number}")]

    def test_costs_the_same_for_many(self, cast: Cast, card: Card, django_assert_num_queries: Any) -> None:
        """Three queries."""
        lose(card, cast)
        with django_assert_num_queries(3):
            assert sum(len(history(one)) for one in cards_with_acts()) == 3


@pytest.mark.django_db
class TestPages:
    @pytest.fixture(autouse=True)
    def clock(self) -> Any:
        with time_machine.travel(AT + timedelta(days=30), tick=False) as travel:
            yield travel

    @pytest.mark.parametrize(
        ("page", "sent", "act"),
        [
            ("replace", {"reason": "Lost on site"}, "issued for a lost card"),
            ("reduce", {"scope": "Web only.", "limits": "", "reason": "Event"}, "issued with a reduced scope"),
        ],
    )
    def test_lead_to_the_new_card(self, cast: Cast, card: Card, page: str, sent: dict[str, str], act: str) -> None:
        """Dated, by whom, in place of which."""
        said = cast.client("max").post(reverse(f"cards:{page}", args=[card.number]), sent, follow=True).content.decode()
        new = Card.objects.get(stands_for=card)
        assert f"Card {new.number}" in said
        assert act in said
        assert f"in place of card {card.number}" in said
        assert "do not accept" in cast.client("nobody").get(f"/check/{card.number}/").content.decode().lower()

    @pytest.mark.parametrize("page", ["replace", "reduce"])
    def test_ask_for_the_reason(self, cast: Cast, card: Card, page: str) -> None:
        """Nothing typed is lost."""
        url = reverse(f"cards:{page}", args=[card.number])
        said = cast.client("max").post(url, {"scope": "Web only.", "reason": ""}).content.decode()
        assert "stays on the record" in said
        assert page == "replace" or "Web only." in said
        assert not Card.objects.filter(stands_for=card).exists()

    def test_say_what_the_rules_refuse(self, cast: Cast, card: Card) -> None:
        """In a sentence, above the form."""
        measure(card, cast, Step.SUSPENDED, (AT + timedelta(days=30)).date())
        url = reverse("cards:replace", args=[card.number])
        assert "is suspended" in cast.client("max").post(url, {"reason": "Lost"}).content.decode()

    def test_are_offered_while_the_card_is_in_force(self, cast: Cast, card: Card) -> None:
        """And to an administrator alone."""
        page = reverse("cards:card", args=[card.number])
        assert "Lost: give a new number" in cast.client("max").get(page).content.decode()
        assert "Lost: give a new number" not in cast.client("sol").get(page).content.decode()
        measure(card, cast, Step.WITHDRAWN, (AT + timedelta(days=30)).date())
        assert "Lost: give a new number" not in cast.client("max").get(page).content.decode()
