"""The plan of refreshers against the package that plans it, and the days for the hand against their source.

The package is `fsrs` 6.3.2, a general-purpose library; the curve is checked against its own reckoning, the plans
against days that were worked out with it apart from this code.
"""

from datetime import UTC, date, datetime, time, timedelta
from math import isclose

import pytest
from fsrs import Card, Rating, Scheduler
from hypothesis import given
from hypothesis import strategies as st

from training.refreshers import rules
from training.refreshers.rules import Outcome, Review

DAY = date(2026, 11, 25)
START = datetime.combine(DAY, time(), tzinfo=UTC)
THREE_YEARS = 1096


def plan(scheduler: Scheduler, days: int) -> list[int]:
    """Return the days of the reviews of so many days, each done when due and gone well."""
    card, found = Card(card_id=0, due=START), []
    while (card.due - START).days <= days:
        found.append((card.due - START).days)
        card, _log = scheduler.review_card(card, Rating.Good, card.due)
    return found


def without_steps(recall: float, cap: int) -> Scheduler:
    return Scheduler(
        desired_retention=recall, maximum_interval=cap, learning_steps=(), relearning_steps=(), enable_fuzzing=False
    )


class TestCurve:
    def test_has_the_constant_of_the_default_weights(self) -> None:
        """F = 0.9 ** (-1 / w20) - 1 with w20 = 0.1542."""
        assert rules.DECAY == 0.1542
        assert isclose(rules.FACTOR, 0.980346494413480, abs_tol=1e-14)

    def test_starts_from_one_review_that_went_right(self) -> None:
        """Stability 2.3065 days to 90 %, and 51.1286 % after 180 days."""
        (memory,) = rules.memories([Review(DAY, Outcome.RIGHT)])
        assert memory.stability == 2.3065
        assert rules.recall(memory, on=DAY) == 1
        assert rules.recall(memory, on=DAY + timedelta(days=180)) == pytest.approx(0.511286, abs=5e-7)

    @given(st.lists(st.tuples(st.integers(0, 300), st.sampled_from(Outcome)), min_size=1, max_size=12))
    def test_is_that_of_the_library(self, steps: list[tuple[int, Outcome]]) -> None:
        """Any past, any number of days on: the same memory, the same next day, the same recall."""
        card, on, past = Card(card_id=0, due=START), DAY, []
        for gap, outcome in steps:
            on += timedelta(days=gap)
            past.append(Review(on, outcome))
            moment = datetime.combine(on, time(), tzinfo=UTC)
            card, _log = rules.SCHEDULER.review_card(card, rules.RATINGS[outcome], moment)
        memory = rules.memories(past)[-1]
        assert (memory.stability, memory.difficulty, memory.due_on) == (
            card.stability,
            card.difficulty,
            card.due.date(),
        )
        for days in (0, 1, 8, 64, 180, 1000):
            theirs = rules.SCHEDULER.get_card_retrievability(
                card, datetime.combine(on + timedelta(days=days), time(), tzinfo=UTC)
            )
            assert isclose(rules.recall(memory, on=on + timedelta(days=days)), theirs, rel_tol=1e-12)


class TestPlan:
    @pytest.mark.parametrize(
        ("recall", "cap", "days"),
        [
            (0.90, 36500, [0, 2, 13, 59, 222, 719]),
            (0.90, 180, [0, 2, 13, 59, 222, 402, 582, 762, 942]),
            (0.80, 180, [0, 8, 83, 263, 443, 623, 803, 983]),
        ],
    )
    def test_of_the_library(self, recall: float, cap: int, days: list[int]) -> None:
        """Three plans over 36 months, every review gone well."""
        assert plan(without_steps(recall, cap), THREE_YEARS) == days

    def test_is_the_third(self) -> None:
        """At 80 % and 180 days at most, each later refresher falls before a six-monthly confirmation."""
        (first,) = rules.memories([Review(DAY, Outcome.RIGHT)])
        later = rules.ahead(first, on=DAY, until=DAY + timedelta(days=THREE_YEARS))
        assert [(one.last_on - DAY).days for one in later] == [8, 83, 263, 443, 623, 803, 983]

    def test_is_the_same_every_time(self) -> None:
        """Nothing is drawn by chance."""
        assert rules.SCHEDULER.enable_fuzzing is False
        assert len({plan(rules.SCHEDULER, THREE_YEARS)[-1] for _again in range(5)}) == 1


class TestHand:
    @pytest.mark.parametrize(("kept", "days"), [(0.9, 30), (0.8, 64), (0.5, 198)])
    def test_fades_by_its_half_life(self, kept: float, days: int) -> None:
        """Tatel and Ackerman, Psychological Bulletin: half of the gain in accuracy is gone after about 6.5 months.

        As an exponential that is 90 % after 30 days and 80 % after 64.
        """
        assert rules.hand_days(kept) == days
        assert 0.5 ** (days / (rules.HALF_LIFE_MONTHS * 365.25 / 12)) == pytest.approx(kept, abs=0.002)
