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


class TestManyMisses:
    def test_are_four_since_the_last_pass_within_twelve_months(self):
        assert rules.many_misses([MISS] * 4, on=DAY)
        assert not rules.many_misses([MISS] * 3, on=DAY)
        assert not rules.many_misses([MISS, PASS, MISS, MISS, MISS], on=DAY)

    @pytest.mark.parametrize(("on", "many"), [(date(2027, 11, 24), True), (date(2027, 11, 25), False)])
    def test_are_forgotten_after_twelve_months(self, on, many):
        assert rules.many_misses([MISS] * 4, on=on) is many

    def test_count_anew_after_retraining(self):
        later = [Ended(DAY + timedelta(days=day), passed=False) for day in range(1, 5)]
        assert not rules.many_misses([MISS] * 4, on=DAY, retrained_on=DAY)
        assert rules.many_misses([MISS] * 4, on=DAY, retrained_on=DAY - timedelta(days=1))
        assert rules.many_misses([*[MISS] * 4, *later], on=DAY + timedelta(days=5), retrained_on=DAY)


class TestTopicsLeft:
    WHOLE = Ended(DAY, passed=False, short=("setup", "firing"))
    PART = Ended(DAY + timedelta(days=9), passed=False, short=("firing",), whole=False)

    def test_are_those_that_fell_short_last(self):
        assert rules.topics_left([self.WHOLE], months=6, on=DAY) == ("setup", "firing")
        assert rules.topics_left([self.WHOLE, self.PART], months=6, on=DAY) == ("firing",)

    def test_are_none_where_the_paper_is_taken_as_a_whole_or_was_passed(self):
        assert rules.topics_left([self.WHOLE], months=0, on=DAY) == ()
        assert rules.topics_left([], months=6, on=DAY) == ()
        assert rules.topics_left([self.WHOLE, PASS], months=6, on=DAY) == ()

    @pytest.mark.parametrize(("on", "left"), [(date(2027, 5, 25), ("firing",)), (date(2027, 5, 26), ())])
    def test_are_carried_for_six_months_from_the_whole_sitting(self, on, left):
        assert rules.topics_left([self.WHOLE, self.PART], months=6, on=on) == left


class TestMinutes:
    @pytest.mark.parametrize(
        ("base", "factor", "sat", "of", "wanted"),
        [
            (40, "1.25", 1, 1, 50),
            (75, "1.25", 1, 1, 94),
            (75, "1", 20, 20, 75),
            (75, "1", 5, 20, 19),
            (75, "1.5", 5, 20, 29),
        ],
    )
    def test_are_rounded_up(self, base, factor, sat, of, wanted):
        """75 x 1.25 = 93.75; a quarter of 75 is 18.75, and half as much again 28.125."""
        assert rules.minutes(base, factor=Fraction(factor), sat=sat, of=of) == wanted


class TestBreak:
    LEFT = timedelta(minutes=20)

    @pytest.mark.parametrize(("minutes", "used"), [(-5, 0), (0, 0), (12, 12), (20, 20), (300, 20)])
    def test_moves_the_end_by_what_is_used_of_it(self, minutes, used):
        at, due = AT + timedelta(minutes=minutes), AT + timedelta(hours=1)
        assert rules.used(paused_at=AT, left=self.LEFT, at=at) == timedelta(minutes=used)
        assert rules.due(due_at=due, paused_at=AT, left=self.LEFT, at=at) == due + timedelta(minutes=used)

    def test_moves_nothing_unless_it_runs(self):
        assert rules.due(due_at=AT, paused_at=None, left=self.LEFT, at=AT + self.LEFT) == AT


class TestAdmitted:
    @pytest.mark.parametrize(("minutes", "holds"), [(-1, False), (0, True), (30, True), (31, False)])
    def test_holds_for_half_an_hour(self, minutes, holds):
        assert rules.admitted(AT, at=AT + timedelta(minutes=minutes)) is holds

    def test_needs_someone_to_have_looked(self):
        assert not rules.admitted(None, at=AT)


class TestPage:
    @pytest.mark.parametrize(
        ("turn", "kept_by", "behind"),
        [(0, "", False), (1, "other", False), (2, "other", True), (2, "mine", False), (9, "mine", False)],
    )
    def test_is_behind_what_another_page_kept_since(self, turn, kept_by, behind):
        assert rules.Page("mine", {3: 1}, {}).is_behind(3, turn=turn, kept_by=kept_by) is behind

    def test_knows_nothing_of_a_place_it_does_not_name(self):
        assert rules.Page("mine", {}, {}).is_behind(3, turn=1, kept_by="other")


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

    def test_by_topic_fails_on_one_that_falls_short_or_is_unsafe(self):
        paper = [marked(1, "1"), marked(2, "1"), marked(3, "0", topic="firing"), marked(4, "1", topic="firing")]
        half = Fraction(1, 2)
        assert rules.outcome(paper, passing=half, by_topic=True).passed
        short = rules.outcome(paper, passing=Fraction(3, 4), by_topic=True)
        assert (short.topics, short.short, short.passed) == (("firing",), False, False)
        assert rules.outcome(paper, passing=Fraction(3, 4)).passed
        unsafe = [*paper[:2], marked(3, "1"), marked(4, "0", safety=True)]
        assert rules.outcome(unsafe, passing=half, by_topic=True).topics == ("setup",)

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
