"""The plan of refreshers beside the days of a card."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from certs.cards.operations import confirm, measure
from certs.cards.rules import Step
from certs.records.queries.plan import plan
from tests.cast import ON, Cast
from tests.certs.factory import card, noon
from tests.training.procedures.content import module
from tests.training.refreshers.answers import answered
from tests.training.reply import page
from training.procedures.operations import load
from training.refreshers.models import WorkDone
from training.refreshers.queries import due

FIRST = date(2026, 8, 31)


class TestPlan:
    def test_sets_refreshers_beside_the_days_of_the_card(
        self, cast: Cast, django_assert_max_num_queries: Callable[..., Any]
    ) -> None:
        """The card is confirmed by the last day of February, and ends on the eve of its third anniversary."""
        load([module()], at=noon(FIRST))
        card(cast, cast.ada, on=FIRST)
        answered(cast.ada, "setup", ON)
        with django_assert_max_num_queries(5):
            made = plan(cast.ada, on=ON)
        (topic,) = made.topics
        refreshers = [(event.on - ON).days for event in topic.events if event.words == "Refresher"]
        assert refreshers == [8, 83, 263, 443, 623, 803, 983]
        days = {event.words: event.on for event in topic.events if event.words != "Refresher"}
        assert days == {
            "Work to be confirmed by: Bonds by pin brazing": date(2027, 2, 28),
            "Renewal opens: Bonds by pin brazing": date(2029, 2, 28),
            "Last day of the card: Bonds by pin brazing": date(2029, 8, 30),
        }
        assert {event.percent for event in topic.events if event.words == "Refresher"} >= {80}
        assert [stroke.kind for stroke in topic.picture.strokes] == ["a", "floor", "b", "mark-a", "mark-b"]
        assert topic.picture.along_ticks[0] == "Nov 2026"

    def test_reaches_a_year_without_a_card(self, cast: Cast) -> None:
        """A closed card asks for nothing."""
        load([module()], at=noon(FIRST))
        held = card(cast, cast.ada, on=FIRST)
        measure(card=held, step=Step.WITHDRAWN, by=cast.max, reason="Asked for.", on=ON, at=noon(ON))
        answered(cast.ada, "setup", ON - timedelta(days=500))
        (topic,) = plan(cast.ada, on=ON).topics
        assert {event.words for event in topic.events} == {"Refresher"}
        assert topic.events[0].on == ON
        assert topic.events[-1].on <= ON + timedelta(days=366)
        assert "mark-b" not in [stroke.kind for stroke in topic.picture.strokes]

    def test_draws_topics_that_stand_alike_once(self, cast: Cast) -> None:
        """Two topics of one day are one picture; a third has its own, from nothing up where much is forgotten."""
        load(
            [module(), module("firing", title="Firing", order=2), module("safety", title="Safety", order=3)],
            at=noon(FIRST),
        )
        answered(cast.ada, "setup", ON)
        answered(cast.ada, "firing", ON)
        answered(cast.ada, "safety", ON - timedelta(days=900))
        made = plan(cast.ada, on=ON)
        assert [topic.picture.title for topic in made.topics] == ["Setting up; Firing", "Safety"]
        assert [topic.picture.upright_ticks[-1] for topic in made.topics] == ["50", "0"]

    def test_is_drawn_with_its_table(self, cast: Cast) -> None:
        """An image with a title and a description, and the same days as a table."""
        load([module()], at=noon(FIRST))
        answered(cast.ada, "setup", ON - timedelta(days=3))
        shown = page(cast.client("ada").get("/plan/"))
        assert 'role="img" aria-labelledby="plan-1-title plan-1-desc"' in shown
        assert "Days to come" in shown
        assert "style=" not in shown
        assert "Nothing is planned yet." in page(cast.client("ben").get("/plan/"))


class TestHome:
    def test_names_what_is_due_to_its_crew_member_alone(self, cast: Cast) -> None:
        """A link to each, and nothing for whoever has none."""
        load([module()], at=noon(FIRST))
        answered(cast.ada, "setup", date(2026, 1, 1))
        assert "/refreshers/setup/" in page(cast.client("ada").get("/"))
        assert "Refreshers due" not in page(cast.client("ben").get("/"))


class TestConfirmedWork:
    def test_counts_as_a_refresher_of_each_module(self, cast: Cast) -> None:
        """Work without doubt moves the next day; a doubt moves nothing."""
        load([module()], at=noon(FIRST))
        held = card(cast, cast.ada, on=FIRST)
        said = {"card": held, "by": cast.sol, "shots": 40, "evidence": "jobs 1 to 9"}
        confirm(**said, doubts=False, on=ON, at=noon(ON))
        assert [(one.person, one.topic, one.at) for one in WorkDone.objects.all()] == [(cast.ada, "setup", noon(ON))]
        assert due(cast.ada, on=ON + timedelta(days=8))
        later = ON + timedelta(days=9)
        confirm(**said, doubts=True, on=later, at=noon(later))
        assert WorkDone.objects.count() == 1
