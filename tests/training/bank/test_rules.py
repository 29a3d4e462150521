"""What an answer may look like, and what is right in words."""

from fractions import Fraction

import pytest

from training.bank import rules

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


class TestAllRight:
    def test_wants_every_part_whole(self):
        assert rules.all_right([Fraction(1), Fraction(1)])
        assert not rules.all_right([Fraction(1), Fraction(1, 2)])
