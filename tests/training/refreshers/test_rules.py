"""Choosing questions, how a drill went, what lies ahead."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.refreshers import rules
from training.refreshers.rules import Candidate, Outcome, Review

DAY = date(2026, 11, 25)
ONE = Fraction(1)


def days(number: int) -> date:
    return DAY + timedelta(days=number)


class TestOutcome:
    @pytest.mark.parametrize(
        ("shares", "helped", "went"),
        [
            ([ONE, ONE], False, Outcome.RIGHT),
            ([ONE, ONE], True, Outcome.HELPED),
            ([ONE, Fraction(1, 2)], False, Outcome.WRONG),
            ([ONE, Fraction(0)], True, Outcome.WRONG),
        ],
    )
    def test_is_wrong_before_it_is_helped(self, shares, helped, went):
        """Half an answer, and an unsafe one, which earns nothing, are wrong."""
        assert rules.outcome(shares, helped=helped) is went

    def test_never_calls_anything_effortless(self):
        assert {rating.name for rating in rules.RATINGS.values()} == {"Again", "Hard", "Good"}


class TestMemory:
    def test_is_refreshed_sooner_the_worse_it_went(self):
        due = [rules.memories([Review(DAY, went)])[0].due_on for went in Outcome]
        assert due == [days(1), days(4), days(8)]

    @given(st.lists(st.sampled_from(Outcome), min_size=1, max_size=20))
    def test_never_waits_longer_than_the_cap(self, went):
        past = [Review(days(30 * number), one) for number, one in enumerate(went)]
        memory = rules.memories(past)[-1]
        assert 1 <= (memory.due_on - memory.last_on).days <= rules.LONGEST_DAYS

    def test_takes_two_reviews_of_one_day(self):
        first, second = rules.memories([Review(DAY, Outcome.RIGHT), Review(DAY, Outcome.RIGHT)])
        assert second.last_on == DAY
        assert second.stability >= first.stability

    def test_of_no_review_is_none(self):
        assert rules.memories([]) == ()

    def test_is_whole_before_its_first_day(self):
        (memory,) = rules.memories([Review(DAY, Outcome.RIGHT)])
        assert rules.recall(memory, on=days(-5)) == 1


class TestAhead:
    def test_starts_today_where_it_is_late(self):
        (memory,) = rules.memories([Review(DAY, Outcome.RIGHT)])
        later = rules.ahead(memory, on=days(40), until=days(400))
        assert later[0].last_on == days(40)
        assert later[-1].due_on > days(400)

    def test_is_empty_before_the_next_day(self):
        (memory,) = rules.memories([Review(DAY, Outcome.RIGHT)])
        assert rules.ahead(memory, on=DAY, until=days(7)) == ()


class TestCurve:
    def test_falls_to_each_review_and_jumps_there(self):
        past = rules.memories([Review(DAY, Outcome.RIGHT), Review(days(8), Outcome.RIGHT)])
        line = rules.curve(past, since=DAY, until=days(50), points=4)
        assert line[0] == (DAY, 1)
        assert [day for day, share in line if share == 1] == [DAY, days(8)]
        assert line[4][0] == line[5][0] == days(8)
        assert line[4][1] == pytest.approx(rules.RECALL, abs=0.005)
        assert line[-1][0] == days(50)
        assert len(line) == 10

    def test_leaves_out_what_ended_before_it_begins(self):
        past = rules.memories([Review(DAY, Outcome.RIGHT), Review(days(8), Outcome.RIGHT)])
        line = rules.curve(past, since=days(20), until=days(50))
        assert line[0] == (days(20), rules.recall(past[1], on=days(20)))

    def test_tells_the_recall_just_before_a_review(self):
        past = rules.memories([Review(DAY, Outcome.RIGHT), Review(days(8), Outcome.RIGHT)])
        assert rules.recall_of(past, on=days(8)) == rules.recall(past[0], on=days(8))
        assert rules.recall_of(past, on=days(9)) == rules.recall(past[1], on=days(9))
        assert rules.recall_of(past, on=DAY) == 1


class TestChosen:
    POOL = tuple(Candidate(f"k{number}", ()) for number in range(5))

    def test_takes_what_was_not_shown_first_then_the_oldest(self):
        keys = rules.chosen(self.POOL, shown=["k0", "k1", "k2", "k3", "k0"], seed="s")
        assert keys == ("k4", "k3", "k2")

    def test_changes_with_the_seed_alone(self):
        drawn = {rules.chosen(self.POOL, shown=(), seed=f"s{number}") for number in range(20)}
        assert len(drawn) > 3
        assert rules.chosen(self.POOL, shown=(), seed="s") == rules.chosen(self.POOL, shown=(), seed="s")

    def test_keeps_apart_what_gives_one_another_away(self):
        pool = (Candidate("a", ("b",)), Candidate("b", ()), Candidate("c", ()), Candidate("d", ()))
        for number in range(20):
            assert not {"a", "b"} <= set(rules.chosen(pool, shown=(), seed=f"s{number}"))

    def test_fills_up_where_there_are_no_others(self):
        pool = (Candidate("a", ("b",)), Candidate("b", ()), Candidate("c", ()))
        assert sorted(rules.chosen(pool, shown=(), seed="s")) == ["a", "b", "c"]

    def test_takes_what_there_is(self):
        assert rules.chosen(self.POOL[:1], shown=(), seed="s") == ("k0",)


class TestToMail:
    def test_names_all_that_is_due_once_something_is_new(self):
        assert rules.to_mail(["a", "b"], named={"a"}) == ("a", "b")

    def test_is_silent_where_all_was_named_or_nothing_is_due(self):
        assert rules.to_mail(["a"], named={"a", "b"}) == ()
        assert rules.to_mail([], named=()) == ()
