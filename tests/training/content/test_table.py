"""TOML tables read key by key."""

from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Any

import pytest

from training.content.mistakes import ContentErrors, Mistake
from training.content.table import NAME, SLUG, Table


class Colour(StrEnum):
    RED = "red"
    BLUE = "blue"


@pytest.fixture
def mistakes() -> list[Mistake]:
    return []


def opened(data: Any, mistakes: list[Mistake]) -> Table:
    return Table(data, file="f.toml", path="top", mistakes=mistakes)


def only(mistakes: list[Mistake]) -> str:
    assert len(mistakes) == 1, mistakes
    return f"{mistakes[0].key}: {mistakes[0].reason}"


class TestText:
    @pytest.mark.parametrize(
        ("data", "says"),
        [
            ({}, "top.a: is missing; write text"),
            ({"a": 3}, "top.a: must be text"),
            ({"a": " "}, "top.a: is empty; write text"),
            ({"a": "Not a slug"}, "may hold only small letters, digits and hyphens"),
            ({"a": "two--hyphens"}, "hyphens"),
        ],
    )
    def test_refuses_with_the_reason(self, mistakes: list[Mistake], data: dict[str, Any], says: str) -> None:
        """Missing, of another type, empty, misspelt."""
        opened(data, mistakes).text("a", shape=SLUG)
        assert says in only(mistakes)

    def test_may_be_left_out_with_a_default(self, mistakes: list[Mistake]) -> None:
        """And may then be empty too."""
        assert opened({}, mistakes).text("a", "x") == "x"
        assert opened({"a": ""}, mistakes).text("a", "x", shape=SLUG) == ""
        assert opened({"a": "lead-drop-2"}, mistakes).text("a", shape=SLUG) == "lead-drop-2"
        assert not mistakes

    def test_names_the_characters_a_name_may_have(self, mistakes: list[Mistake]) -> None:
        """Names of values take underscores."""
        opened({"a": "a-b"}, mistakes).text("a", shape=NAME)
        assert "underscores" in only(mistakes)


class TestNumbers:
    @pytest.mark.parametrize("value", [True, "3", Decimal("3.0"), 0, 10_001])
    def test_refuses_what_is_no_whole_number_within_limits(self, mistakes: list[Mistake], value: Any) -> None:
        """Truth values are no numbers to an author."""
        opened({"a": value}, mistakes).whole("a")
        assert only(mistakes).startswith("top.a: must be")

    def test_reads_whole_numbers(self, mistakes: list[Mistake]) -> None:
        """Given, left out with a default, or left out altogether."""
        table = opened({"a": 3}, mistakes)
        assert (table.whole("a"), table.whole("b", 5), table.optional_whole("b", low=0, high=9)) == (3, 5, None)
        assert table.optional_whole("a", low=0, high=9) == 3
        assert not mistakes

    @pytest.mark.parametrize(
        ("value", "result"), [(3, "3"), (Decimal("0.050"), "0.050"), ("0.10", "0.10"), ("-1e2", "-1E+2")]
    )
    def test_keeps_the_digits_of_a_decimal(self, mistakes: list[Mistake], value: Any, result: str) -> None:
        """0.050 has three decimals, bare or as text."""
        assert str(opened({"a": value}, mistakes).decimal("a")) == result
        assert not mistakes

    @pytest.mark.parametrize("value", ["x", Decimal("NaN"), Decimal("Infinity"), 10**13, "1e-13", None, True, 2.5])
    def test_refuses_what_is_no_plain_decimal(self, mistakes: list[Mistake], value: Any) -> None:
        """Not a number, not finite, too large, too fine, missing."""
        data = {} if value is None else {"a": value}
        assert opened(data, mistakes).decimal("a") == 0
        assert only(mistakes).startswith("top.a:")

    def test_reads_a_share_as_a_fraction(self, mistakes: list[Mistake]) -> None:
        """As text, bare, or by default."""
        table = opened({"a": "0.02", "b": Decimal("0.5")}, mistakes)
        assert (table.share("a"), table.share("b"), table.share("c", Fraction(1))) == (
            Fraction(1, 50),
            Fraction(1, 2),
            1,
        )
        assert not mistakes

    @pytest.mark.parametrize("data", [{"a": "1.5"}, {"a": "-0.1"}, {}])
    def test_refuses_a_share_outside_its_limits(self, mistakes: list[Mistake], data: dict[str, Any]) -> None:
        """Or a missing one."""
        opened(data, mistakes).share("a")
        assert only(mistakes).startswith("top.a:")


class TestLists:
    def test_reads_lists_of_texts_numbers_and_decimals(self, mistakes: list[Mistake]) -> None:
        """Absent lists are empty."""
        table = opened({"t": ["x", "y"], "n": [1, 7], "d": [1, "2.50"]}, mistakes)
        assert (table.texts("t"), table.wholes("n", high=9), table.texts("z")) == (("x", "y"), (1, 7), ())
        assert (table.decimals("d"), table.decimals("z"), table.wholes("z", high=1)) == ((1, Decimal("2.50")), (), ())
        assert not mistakes

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            ({"t": "x"}, "top.t: must be a list of texts"),
            ({"t": ["x", 1]}, "top.t: must hold only texts"),
            ({"t": []}, "top.t: is empty"),
            ({}, "top.t: is missing"),
        ],
    )
    def test_refuses_a_broken_list_of_texts(self, mistakes: list[Mistake], data: dict[str, Any], says: str) -> None:
        """Of another type, with other things in it, empty or missing where it is required."""
        opened(data, mistakes).texts("t", required=True)
        assert only(mistakes).startswith(says)

    def test_refuses_broken_lists_of_numbers(self, mistakes: list[Mistake]) -> None:
        """Each in its own words."""
        table = opened({"n": [1, 99], "m": [True], "d": [None], "e": 3}, mistakes)
        table.wholes("n", high=9)
        table.wholes("m", high=9)
        table.decimals("d")
        table.decimals("e")
        assert [mistake.key for mistake in mistakes] == ["top.n", "top.m", "top.d", "top.e"]


class TestWords:
    def test_reads_one_of_a_closed_list(self, mistakes: list[Mistake]) -> None:
        """Given or by default."""
        table = opened({"a": "blue"}, mistakes)
        assert table.choice("a", Colour) is Colour.BLUE
        assert table.choice("b", Colour, Colour.BLUE) is Colour.BLUE
        assert not mistakes

    @pytest.mark.parametrize("data", [{"a": "green"}, {"a": 3}, {}])
    def test_refuses_any_other_word(self, mistakes: list[Mistake], data: dict[str, Any]) -> None:
        """The mistake lists the words."""
        assert opened(data, mistakes).choice("a", Colour) is Colour.RED
        assert "red, blue" in only(mistakes)

    def test_reads_true_and_false_only(self, mistakes: list[Mistake]) -> None:
        """0 is no truth value."""
        table = opened({"a": True, "b": 0}, mistakes)
        assert (table.flag("a"), table.flag("c"), table.flag("b")) == (True, False, False)
        assert only(mistakes) == "top.b: must be true or false"

    def test_reads_a_table_of_names(self, mistakes: list[Mistake]) -> None:
        """Anything but names in it is refused."""
        table = opened({"inputs": {"a": "b", "c": 3}}, mistakes)
        assert table.inputs() == {"a": "b"}
        assert only(mistakes) == "top.inputs.c: must hold only names of values"
        assert table.inputs("none") == {}


class TestInnerTables:
    def test_mark_their_path_by_key_slug_name_or_place(self, mistakes: list[Mistake]) -> None:
        """An author finds the row by what it is called."""
        rows = [{"key": "k"}, {"slug": "s"}, {"name": "n"}, {"key": 3}, 7]
        inners = opened({"row": rows}, mistakes).tables("row")
        assert [inner.path for inner in inners] == [f"top.row[{mark}]" for mark in ("k", "s", "n", "4", "5")]
        assert only(mistakes) == "top.row[5]: must be a table"

    def test_may_be_named(self, mistakes: list[Mistake]) -> None:
        """In written order; a name that no text could hold is refused."""
        inners = opened({"given": {"b": {}, "a": {}, "A b": {}}}, mistakes).named("given")
        assert list(inners) == ["b", "a", "A b"]
        assert "underscores" in only(mistakes)

    def test_may_be_absent_where_a_default_says_so(self, mistakes: list[Mistake]) -> None:
        """Otherwise that is a mistake."""
        table = opened({"row": {}}, mistakes)
        assert table.table("x", {}).data == {}
        assert (table.tables("z"), table.named("z")) == ([], {})
        assert not mistakes
        table.table("y")
        assert table.tables("row") == []
        assert [mistake.key for mistake in mistakes] == ["top.y", "top.row"]

    def test_report_keys_nobody_asked_for(self, mistakes: list[Mistake]) -> None:
        """A misspelt key is told, not ignored."""
        table = opened({"a": "x", "b": "y"}, mistakes)
        table.text("a")
        assert table.sound
        table.done()
        assert only(mistakes) == "top.b: is not a key known here; check its spelling"
        assert not table.sound

    def test_refuse_marks_that_come_twice(self, mistakes: list[Mistake]) -> None:
        """Empty ones were refused before."""
        opened({}, mistakes).once("row", ["a", "b", "a", "", ""])
        assert only(mistakes) == "top.row: 'a' is written 2 times; each must be different"


class TestContentErrors:
    def test_lists_each_mistake_once_in_reading_order(self) -> None:
        """One line each: file, key, reason."""
        errors = ContentErrors([Mistake("b", "k", "r"), Mistake("a", "", "broken"), Mistake("b", "k", "r")])
        assert str(errors) == "a: broken\nb: k: r"
        assert len(errors.mistakes) == 2
