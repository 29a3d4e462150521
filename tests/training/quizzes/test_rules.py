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


OPTIONS = [{"id": "a"}, {"id": "b"}, {"id": "c"}]


def part(answer):
    return [{"name": "answer", "answer": answer, "options": [] if answer == "number" else OPTIONS}]


class TestTidy:
    @pytest.mark.parametrize(
        ("answer", "given", "kept"),
        [
            ("number", " 3,5 V ", "3,5 V"),
            ("number", "−4", "−4"),
            ("number", "", ""),
            ("number", "3\x00\ud800 V", "3? V"),
            ("number", "9" * 500, "9" * rules.LONGEST),
            ("one", "b", "b"),
            ("one", "", ""),
            ("several", ["c", "a", "zz"], ["a", "c"]),
            ("several", [], []),
            ("order", ["b", "a", "c"], ["b", "a", "c"]),
            ("order", {"a": "2", "b": "1", "c": "3"}, ["b", "a", "c"]),
            ("order", {"a": "2", "b": "2", "c": "3"}, {"a": "2", "b": "2", "c": "3"}),
            ("order", {"a": "2", "b": "", "c": "4", "zz": "1"}, {"a": "2"}),
            ("order", {"a": ["1"], "b": None}, {}),
        ],
    )
    def test_keeps_what_marking_knows(self, answer, given, kept):
        assert rules.tidy(part(answer), {"answer": given}) == {"answer": kept}

    @pytest.mark.parametrize(
        ("answer", "given"),
        [("number", 3), ("number", None), ("number", ["3"]), ("one", "zz"), ("one", ["a"]), ("one", {"a": 1}),
         ("several", "a"), ("order", "abc"), ("order", ["a", "b"]), ("order", ["a", "a", "b"]), ("order", [1, 2, 3]),
         ("order", 7)],
    )  # fmt: skip
    def test_leaves_out_any_other_shape(self, answer, given):
        assert rules.tidy(part(answer), {"answer": given}) == {}

    @pytest.mark.parametrize("given", [None, "text", 3, ["answer"], {}, {"other": "1"}])
    def test_leaves_out_what_names_no_part(self, given):
        assert rules.tidy(part("number"), given) == {}


class TestAnswers:
    def test_gives_places_back_from_an_order_whole_or_unfinished(self):
        assert rules.places(["b", "a"]) == {"b": "1", "a": "2"}
        assert rules.places({"a": "2"}) == {"a": "2"}
        assert rules.places(None) == {}

    def test_marks_an_unfinished_order_as_not_answered(self):
        assert rules.responses({"one": "a", "row": {"a": "2"}}) == {"one": "a"}
        assert rules.unfinished({"one": "a", "row": {"a": "2"}, "untouched": {}}) == ["row"]

    @pytest.mark.parametrize(
        ("value", "blank"), [(None, True), ("", True), ([], True), ({}, True), ("0", False), (["a"], False)]
    )
    def test_calls_blank_what_holds_nothing(self, value, blank):
        assert rules.blank(value) is blank

    def test_says_the_right_answer_in_words(self):
        number = {"answer": "number", "unit": "V", "options": []}
        assert rules.right_answer(number, {"shown": "-3.36"}) == ("−3.36\N{NO-BREAK SPACE}V",)
        choice = {"answer": "several", "options": [{"id": "a", "text": "Grind"}, {"id": "b", "text": "Fire"}]}
        assert rules.right_answer(choice, {"right": ["b"], "order": []}) == ("Fire",)
        assert rules.right_answer(choice, {"right": [], "order": ["b", "a"]}) == ("Fire", "Grind")


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
