"""What was done to one's own cards is told on the first page."""

from datetime import timedelta
from typing import Any

from certs.cards.operations import measure, reduce_scope
from certs.cards.rules import Step
from certs.records.queries.told import told
from tests.cast import AT, ON, Cast
from tests.certs.factory import card, noon
from tests.certs.records.conftest import Content

DAY = timedelta(days=1)


class TestTold:
    def test_names_act_day_by_whom_and_reason_newest_first(self, cast: Cast, content: Content) -> None:
        """Issued, suspended, reinstated, reduced."""
        first = card(cast, cast.ada, on=ON - 9 * DAY)
        for step, days in ((Step.SUSPENDED, 3), (Step.REINSTATED, 2)):
            on = ON - days * DAY
            measure(card=first, step=step, by=cast.max, reason=f"Reason {days}", on=on, at=noon(on))
        reduce_scope(card=first, scope="Web only.", limits="", reason="Event", by=cast.dora, on=ON, at=AT)
        shown = told(cast.ada, on=ON)
        assert [(one.happening.act, one.happening.by) for one in shown] == [
            ("issued with a reduced scope", "Dora Decider"),
            ("replaced", "Dora Decider"),
            ("reinstated", "Max Administrator"),
            ("suspended", "Max Administrator"),
            ("issued on a practical", "Olga Assessor"),
        ]
        page = cast.client("ada").get("/").text
        assert "22 Nov 2026: suspended" in page
        assert "by Max Administrator" in page
        assert "Reason 3" in page

    def test_forgets_after_two_months_and_knows_no_future(self, cast: Cast) -> None:
        """The record keeps them all."""
        card(cast, cast.ada, on=ON - 61 * DAY)
        assert told(cast.ada, on=ON) == ()
        assert len(told(cast.ada, on=ON - DAY)) == 1
        assert told(cast.ada, on=ON - 62 * DAY) == ()

    def test_is_of_ones_own_cards(self, cast: Cast, content: Content) -> None:
        """Others read theirs."""
        card(cast, cast.ben, on=ON)
        assert told(cast.ada, on=ON) == ()
        assert "What was done to my cards" not in cast.client("ada").get("/").text

    def test_costs_the_same_for_many(self, cast: Cast, django_assert_num_queries: Any) -> None:
        """Three queries."""
        first = card(cast, cast.ada, on=ON - 9 * DAY)
        reduce_scope(card=first, scope="Web only.", limits="", reason="Event", by=cast.dora, on=ON, at=AT)
        with django_assert_num_queries(3):
            assert len(told(cast.ada, on=ON)) == 3
