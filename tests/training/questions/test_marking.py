"""Marks for numbers."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.training.questions.workbook import BOOK, CHAIN, DROP, SHOTS, spec, table
from training.questions.book import Book
from training.questions.draw import draw
from training.questions.item import Item, Part
from training.questions.marking import mark, unreadable, within
from training.questions.marks import PartMark
from training.questions.reading import Unreadable
from training.questions.specs import Ask

SPACE = "\N{NO-BREAK SPACE}"


def item(part: Part, *others: Part) -> Item:
    return Item(
        question="q",
        version=1,
        kind="calculation",
        topic="setup",
        level="know",
        seed="1",
        prompt="",
        givens=(),
        parts=(part, *others),
    )


def part(value: str = "3.36", **changes: Any) -> Part:
    facts: dict[str, Any] = {
        "name": "answer",
        "prompt": "",
        "ask": Ask.NUMBER,
        "hint": "V",
        "decimals": 2,
        "value": Fraction(value),
        "unit": "V",
        "shown": value,
        "relative": Fraction(1, 50),
        "computation": "drop",
        "inputs": {"resistance": 0.014, "current": 240.0},
    }
    return Part(**{**facts, **changes})


def marked(asked: Part, response: str | Sequence[str]) -> PartMark:
    return mark(item(asked), {asked.name: response}, book=BOOK)[0]


class TestMark:
    @pytest.mark.parametrize(
        "response", ["3.36 V", "3,36 V", "3360 mV", "0.00336 kV", "3.4 V", "3.4272 V", "3.2928 V", "3.36 volts"]
    )
    def test_gives_full_marks_within_the_tolerance(self, response: str) -> None:
        """Two per cent of 3.36 V is 0.0672 V; both edges are inside, in any prefix."""
        found = marked(part(), response)
        assert (found.share, found.misconception, found.says) == (1, None, "Right.")

    @pytest.mark.parametrize("response", ["3.4273 V", "3.2927 V", "0"])
    def test_gives_nothing_outside_it(self, response: str) -> None:
        """A ten-thousandth beyond the edge is outside, and the answer is told."""
        found = marked(part(), response)
        assert found.share == 0
        assert found.says == f"The answer is 3.36{SPACE}V."

    def test_takes_the_wider_of_the_two_tolerances(self) -> None:
        """max(absolute, relative x key)."""
        asked = part(absolute=Fraction("0.1"))
        assert within(asked, Fraction("3.46"), asked.value)
        assert not within(part(), Fraction("3.46"), asked.value)

    @pytest.mark.parametrize("response", ["", "   ", None])
    def test_takes_no_response_as_blank(self, response: str | None) -> None:
        """Nothing typed is no mark and no complaint."""
        found = mark(item(part()), {} if response is None else {"answer": response}, book=BOOK)[0]
        assert (found.share, found.flags, found.read) == (0, ("blank",), "")

    def test_assumes_the_unit_printed_beside_the_field(self) -> None:
        """It costs nothing and is flagged; what was understood is shown."""
        found = marked(part(), "3,36")
        assert (found.share, found.flags, found.read) == (1, ("no-unit",), f"3.36{SPACE}V")

    def test_gives_nothing_for_a_missing_unit_that_was_not_printed(self) -> None:
        """Where the unit is part of what is asked, it must be there."""
        found = marked(part(hint=""), "3.36")
        assert (found.share, found.flags, found.read) == (0, ("no-unit",), "3.36")
        assert "the answer is voltage" in found.says
        assert marked(part(hint=""), "3.36 V").share == 1

    def test_does_not_miss_a_unit_on_a_count(self) -> None:
        """'12' and '12 shots' are the same answer; per cent is no count."""
        count = part("12", unit="shots", hint="shots", round="down", decimals=0)
        assert marked(count, "12").flags == ()
        assert marked(count, "12 shots").share == 1
        per_cent = part("5.00", unit="%", hint="%")
        assert marked(per_cent, "5.00").flags == ("no-unit",)
        assert marked(per_cent, "5.00 %").flags == ()

    def test_takes_a_bare_number_as_plain_where_per_cent_was_not_printed(self) -> None:
        """0.05 is five per cent."""
        assert marked(part("5.00", unit="%", hint=""), "0.05").share == 1

    def test_gives_nothing_for_another_dimension(self) -> None:
        """Amperes are no volts; the sentence names both."""
        found = marked(part(), "3.36 A")
        assert (found.share, found.flags, found.read) == (0, ("wrong-dimension",), f"3.36{SPACE}A")
        assert found.says == "That is current; the answer is voltage."

    def test_counts_exactly_where_the_answer_is_counted(self) -> None:
        """38 shots are not 39, and no tolerance helps."""
        count = part("38", unit="shots", hint="shots", round="down", decimals=0, relative=Fraction(0))
        assert marked(count, "38").share == 1
        assert marked(count, "39").share == 0
        assert marked(count, "38.0").flags == ()

    def test_takes_temperatures_on_either_scale(self) -> None:
        """20 degC, 68 degF and 293.15 K are the same point; a rise of 20 degC is 20 K."""
        point = part("20", unit="degC", hint="°C", absolute=Fraction("0.1"), relative=Fraction(0))
        assert [marked(point, typed).share for typed in ("20 C", "68 F", "293.15 K", "20 K")] == [1, 1, 1, 0]
        rise = part("20", unit="K", hint="K", absolute=Fraction("0.1"), relative=Fraction(0))
        assert [marked(rise, typed).share for typed in ("20 C", "36 F", "20 K", "293.15 K")] == [1, 1, 1, 0]

    @pytest.mark.parametrize(
        ("response", "flags"), [("3.4 V", ("figures",)), ("3.360 V", ("figures",)), ("3.36 V", ())]
    )
    def test_notes_figures_without_a_price(self, response: str, flags: tuple[str, ...]) -> None:
        """Asked to two decimals, a person who gives one or three still has the mark."""
        found = marked(part(), response)
        assert (found.share, found.flags) == (1, flags)

    def test_leaves_open_whether_the_zeros_of_a_whole_number_count(self) -> None:
        """1200 against 1200 is never flagged, nor 1.20e3."""
        asked = part("1200", decimals=0)
        assert [marked(asked, typed).flags for typed in ("1200 V", "1.20e3 V", "1.2 kV")] == [(), (), ()]


class TestSlips:
    @pytest.mark.parametrize(
        ("response", "says"),
        [("3.36 mV", "1000 times too small"), ("3360 V", "1000 times too large"), ("33.6", "10 times too large")],
    )
    def test_names_a_power_of_ten_and_gives_nothing(self, response: str, says: str) -> None:
        """A factor of a thousand hurts someone."""
        found = marked(part(), response)
        assert (found.share, found.flags[-1]) == (0, "power-of-ten")
        assert says in found.says

    def test_names_a_sign_and_gives_nothing(self) -> None:
        """The figures are right, the direction is not."""
        found = marked(part(), "-3.36 V")
        assert (found.share, found.flags, found.read) == (0, ("sign",), f"−3.36{SPACE}V")

    def test_does_not_look_for_slips_beyond_twelve_powers(self) -> None:
        """Past that it is another number."""
        assert marked(part(), "3.36e13 V").flags == ()

    def test_knows_a_misconception_by_its_value(self) -> None:
        """Half the drop is one lead left out; its words are the candidate's feedback."""
        drawn = draw(spec(DROP), 1, book=BOOK)
        found = mark(drawn, {"answer": drawn.parts[0].wrong[0].shown}, book=BOOK)[0]
        assert (found.share, found.misconception) == (0, "drop.half")
        assert found.says.startswith("You left out the return lead. The answer is")

    def test_prefers_the_words_of_a_misconception_to_those_of_a_slip(self) -> None:
        """Reading mohm as ohm is a power of ten with a name."""
        wrong = [{"computation": "drop.milli"}]
        drawn = draw(spec(DROP, wrong=wrong), 1, book=BOOK)
        found = mark(drawn, {"answer": drawn.parts[0].wrong[0].shown + " V"}, book=BOOK)[0]
        assert (found.flags, found.misconception) == (("power-of-ten",), "drop.milli")
        assert found.says.startswith("You read mohm as ohm.")

    def test_takes_the_nearest_of_two_misconceptions(self) -> None:
        """Where the room of two overlaps, the nearer one is named."""
        drawn = draw(spec(DROP), 1, book=BOOK)
        first = drawn.parts[0].wrong[0]
        near = replace(first, value=first.value * Fraction(101, 100), misconception="near")
        asked = replace(drawn.parts[0], wrong=(near, first))
        assert marked(asked, f"{first.shown} V").misconception == "drop.half"

    def test_knows_a_misconception_of_a_count_exactly(self) -> None:
        """Two more shots are the mistake, three more are not."""
        drawn = draw(spec(SHOTS), 1, book=BOOK)
        key = int(drawn.parts[0].value)
        assert mark(drawn, {"answer": f"{key + 2}"}, book=BOOK)[0].misconception == "shots.more"
        assert mark(drawn, {"answer": f"{key + 3}"}, book=BOOK)[0].misconception is None


class TestUnreadable:
    def test_lists_every_field_to_ask_again(self) -> None:
        """Each with its part's name and a sentence; marking raises the first."""
        drawn = draw(spec(CHAIN), 1, book=BOOK)
        responses: Mapping[str, Any] = {"loop": "1,250", "drop": ["a"], "act": "z"}
        found = list(unreadable(drawn, responses))
        assert [problem.part for problem in found] == ["loop", "drop", "act"]
        with pytest.raises(Unreadable) as caught:
            mark(drawn, responses, book=BOOK)
        assert (caught.value.part, str(caught.value)) == ("loop", found[0].sentence)

    def test_names_no_unit_that_is_part_of_the_answer(self) -> None:
        """Where the unit is not printed beside the field, the sentence must not give it away."""
        part = replace(draw(spec(CHAIN), 1, book=BOOK).parts[0], unit="mohm", hint="mΩ")
        for one, says in ((part, "such as 3.4 mΩ"), (replace(part, hint=""), "such as 3.4 V")):
            item = replace(draw(spec(CHAIN), 1, book=BOOK), parts=(one,))
            assert says in next(unreadable(item, {one.name: "5 furlongs"})).sentence

    def test_is_empty_for_a_sheet_that_can_be_read(self) -> None:
        """Blank fields are read as blank."""
        assert not list(unreadable(draw(spec(CHAIN), 1, book=BOOK), {"loop": "5 mOhm"}))


class TestCarriedForward:
    @pytest.fixture
    def chain(self) -> Item:
        """A lead of 0.529 mohm/m by 6 to 12 m at 240 A."""
        return draw(spec(CHAIN), 1, book=BOOK)

    @staticmethod
    def shares(chain: Item, loop: str, drop: str, book: Book = BOOK) -> tuple[PartMark, PartMark]:
        first, second, _ = mark(chain, {"loop": loop, "drop": drop}, book=book)
        return first, second

    def test_marks_the_second_part_by_the_first_answer(self, chain: Item) -> None:
        """240 A through the candidate's own 10 mohm is 2.4 V, in whatever units both are typed."""
        for loop, drop in (("10 mOhm", "2.4 V"), ("0.01 ohm", "2400 mV")):
            first, second = self.shares(chain, loop, drop)
            assert (first.share, second.share) == (0, 1)
            assert "carried-forward" in second.flags
            assert "earlier answer" in second.says

    def test_gives_the_share_the_author_set(self) -> None:
        """Half a mark where the author says half."""
        parts = table(CHAIN)["part"]
        parts[1]["carry"] = "0.5"
        assert self.shares(draw(spec(CHAIN, part=parts), 1, book=BOOK), "10", "2.4")[1].share == Fraction(1, 2)

    def test_keeps_the_true_key_first(self, chain: Item) -> None:
        """The true answer stays right even after a wrong earlier one."""
        second = self.shares(chain, "10", chain.parts[1].shown)[1]
        assert (second.share, "carried-forward" in second.flags) == (1, False)

    @pytest.mark.parametrize(
        ("loop", "drop"),
        [("", "2.4"), ("10 A", "2.4"), ("0.4", "0.096"), ("21", "5.04"), ("10", "2.6")],
    )
    def test_refuses_what_cannot_be_carried(self, chain: Item, loop: str, drop: str) -> None:
        """Blank, another dimension, outside the sane range, or not following from it."""
        assert self.shares(chain, loop, drop)[1].share == 0

    def test_refuses_when_the_earlier_answer_was_right(self, chain: Item) -> None:
        """Nothing is carried from a right answer."""
        assert self.shares(chain, chain.parts[0].shown, "2.4")[1].share == 0

    def test_refuses_where_nothing_can_be_computed(self, chain: Item) -> None:
        """A computation that has left the catalogue, or a value outside its range, carries nothing."""
        assert self.shares(chain, "10", "2.4", Book({}, BOOK.compute))[1].share == 0
        inputs = {"resistance": {"part": "loop"}, "current": 2000.0}
        beyond = replace(chain, parts=(chain.parts[0], replace(chain.parts[1], inputs=inputs), chain.parts[2]))
        assert self.shares(beyond, "10", "20")[1].share == 0

    def test_refuses_without_a_sane_range_or_an_earlier_part(self, chain: Item) -> None:
        """A stored item without them cannot be carried."""
        loose = replace(chain, parts=(replace(chain.parts[0], sane=None), *chain.parts[1:]))
        assert self.shares(loose, "10", "2.4")[1].share == 0
        inputs = {"resistance": {"part": "gone"}, "current": 240.0}
        lost = replace(chain, parts=(chain.parts[0], replace(chain.parts[1], inputs=inputs), chain.parts[2]))
        assert self.shares(lost, "10", "2.4")[1].share == 0

    def test_refuses_a_key_no_wider_than_its_tolerance(self, chain: Item) -> None:
        """With 0.02 V of room a carried key of 0.02 V would take nothing for an answer."""
        first = replace(chain.parts[0], sane=(Fraction(0), Fraction(20)))
        tiny = replace(chain, parts=(first, replace(chain.parts[1], absolute=Fraction("0.02")), chain.parts[2]))
        assert self.shares(tiny, "0.01", "0.0024")[1].share == 0
        assert self.shares(tiny, "1", "0.24")[1].share == 1

    def test_carries_whole_numbers_as_such(self) -> None:
        """Packs are whole: three may be carried, two and a half may not."""
        inputs = {"packs": {"part": "first"}, "each": 9.5}
        first = part(
            "4", name="first", unit="packs", hint="packs", decimals=0, round="up", sane=(Fraction(1), Fraction(9))
        )
        second = part(
            "38", unit="shots", hint="", decimals=0, round="down", carry=Fraction(1), computation="shots", inputs=inputs
        )
        shares = [
            mark(item(first, second), {"first": typed, "answer": "28"}, book=BOOK)[1].share for typed in ("3", "2.95")
        ]
        assert shares == [1, 0]
