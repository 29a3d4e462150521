"""When a person may sit, and what a marked paper comes to."""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest

from training.quizzes import rules
from training.quizzes.rules import Ended, Marked, Outcome

DAY = date(2026, 11, 25)
AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
MISS, PASS = Ended(DAY, passed=False), Ended(DAY, passed=True)


class TestFreeOn:
    @pytest.mark.parametrize(
        ("earlier", "days"),
        [([MISS], 1), ([MISS] * 2, 7), ([MISS] * 3, 30), ([MISS] * 5, 30), ([MISS, MISS, PASS, MISS], 1)],
    )
    def test_waits_as_many_days_as_the_misses_since_the_last_pass_say(self, earlier, days):
        assert rules.free_on(earlier, [1, 7, 30]) == DAY + timedelta(days=days)

    @pytest.mark.parametrize("earlier", [[], [PASS], [MISS, PASS]])
    def test_is_none_without_a_miss_since_the_last_pass(self, earlier):
        assert rules.free_on(earlier, [1, 7, 30]) is None

    def test_is_none_where_the_paper_has_no_waits(self):
        assert rules.free_on([MISS], []) is None

    def test_crosses_the_end_of_a_month(self):
        assert rules.free_on([Ended(date(2028, 2, 28), passed=False)], [1]) == date(2028, 2, 29)


class TestTime:
    def test_is_over_after_the_grace_and_not_on_its_last_instant(self):
        assert not rules.overdue(due_at=AT, at=AT + timedelta(seconds=30))
        assert rules.overdue(due_at=AT, at=AT + timedelta(seconds=30, microseconds=1))

    @pytest.mark.parametrize(("minutes", "counted"), [(-5, 0), (0, 0), (10, 10), (60, 60), (6000, 60)])
    def test_counts_a_hand_in_inside_the_sitting_whatever_the_clock_says(self, minutes, counted):
        ended = rules.ended_at(opened_at=AT, due_at=AT + timedelta(minutes=60), at=AT + timedelta(minutes=minutes))
        assert ended == AT + timedelta(minutes=counted)


def marked(position, *shares, topic="setup", safety=False):
    return Marked(position, topic, safety, tuple(Fraction(share) for share in shares))


class TestOutcome:
    def test_shares_a_questions_mark_equally_between_its_parts(self):
        assert marked(1, "1", "1/2", "0").earned == Fraction(1, 2)

    def test_passes_exactly_at_the_share_needed(self):
        paper = [marked(place, "1") for place in range(1, 5)] + [marked(5, "0")]
        assert rules.outcome(paper, passing=Fraction(4, 5)) == Outcome(Fraction(4), 5, Fraction(4), ())
        assert rules.outcome(paper, passing=Fraction(4, 5)).passed
        short = rules.outcome([*paper[:3], marked(4, "999/1000"), paper[4]], passing=Fraction(4, 5))
        assert short.short
        assert not short.passed

    def test_fails_on_a_safety_question_not_fully_right_whatever_the_marks(self):
        paper = [marked(place, "1") for place in range(1, 10)] + [marked(10, "1", "1/2", safety=True)]
        outcome = rules.outcome(paper, passing=Fraction(4, 5))
        assert outcome.unsafe == (10,)
        assert not outcome.short
        assert not outcome.passed

    def test_adds_up_by_topic_in_the_order_they_come(self):
        paper = [marked(1, "1", topic="safety"), marked(2, "1/3"), marked(3, "1/3")]
        assert rules.profile(paper) == {"safety": (Fraction(1), 1), "setup": (Fraction(2, 3), 2)}
        assert list(rules.profile(paper)) == ["safety", "setup"]

    @pytest.mark.parametrize(
        ("marks", "text"),
        [("0", "0"), ("12", "12"), ("25/2", "12.5"), ("37/3", "12.33"), ("15999/1000", "15.99"), ("1/100", "0.01")],
    )
    def test_prints_marks_cut_and_never_rounded_up(self, marks, text):
        assert rules.figure(Fraction(marks)) == text
