"""Reading and marking against what is published elsewhere, and against general libraries."""

import itertools
import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pytest
from scipy import constants
from scipy.stats import binom, kendalltau

from training.questions.book import Book
from training.questions.choosing import mark_choice
from training.questions.item import Item, Part
from training.questions.marking import mark
from training.questions.reading import Unreadable, read
from training.questions.rounding import round_half_up, written
from training.questions.specs import Ask
from training.questions.units import convert, unit


def sheet(*parts: Part) -> Item:
    return Item(
        question="q",
        version=1,
        kind="scenario",
        topic="setup",
        level="know",
        seed="1",
        prompt="",
        givens=(),
        parts=parts,
    )


def number(name: str, value: str, spelling: str, **changes: Any) -> Part:
    facts: dict[str, Any] = {
        "prompt": "",
        "ask": Ask.NUMBER,
        "hint": spelling,
        "decimals": 2,
        "shown": value,
        "computation": name,
    }
    return Part(**{"name": name, "value": Fraction(value), "unit": spelling, **facts, **changes})


class TestFloats:
    """Traps of binary floats, from the Python documentation (built-in functions: round; tutorial, chapter 15)."""

    @pytest.mark.parametrize(
        ("value", "python", "people"), [(2.675, 2.67, "2.68"), (0.125, 0.12, "0.13"), (1.005, 1.0, "1.01")]
    )
    def test_rounding_is_that_of_people(self, value: float, python: float, people: str) -> None:
        """Where Python's round goes down or to even, a person's goes up."""
        assert round(value, 2) == python
        assert written(value, 2) == people
        assert round_half_up(value, 2) == Fraction(people)

    def test_the_edge_of_a_tolerance_is_inside(self) -> None:
        """0.4 V against 0.3 V +- 0.1 V: outside in floats, inside on paper and here."""
        assert not abs(0.4 - 0.3) <= 0.1
        part = number("drop", "0.3", "V", absolute=Fraction("0.1"))
        assert [mark(sheet(part), {"drop": typed})[0].share for typed in ("0.4 V", "0.2", "0.400001")] == [1, 1, 0]


class TestNumbersAsPublished:
    @pytest.mark.parametrize(
        ("printed", "value"),
        [
            ("43 279.168 29", "43279.16829"),
            ("43 279,168 29", "43279.16829"),
            ("76 483 522", "76483522"),
            ("0.491 722 3", "0.4917223"),
            ("0,491 722 3", "0.4917223"),
            ("-0.234", "-0.234"),
        ],
    )
    def test_groups_of_three_are_read(self, printed: str, value: str) -> None:
        """SI brochure, 9th edition, 5.4.4; NIST SP 811, 10.5.3: thin spaces, point or comma (from memory)."""
        for space in ("\N{THIN SPACE}", "\N{NARROW NO-BREAK SPACE}", " "):
            assert read(printed.replace(" ", space)).value == Fraction(value)

    def test_a_comma_before_three_digits_is_not_guessed(self) -> None:
        """The same clause forbids commas and points between groups, yet both are in daily use: so it is asked."""
        with pytest.raises(Unreadable, match=r"can mean 1250 or 1\.250"):
            read("1,250")

    def test_the_same_letter_for_micro_and_for_ohm_in_both_code_points(self) -> None:
        """Unicode Standard, 7.2 and 15.2: U+00B5 and U+03BC are one letter, U+2126 and U+03A9 are one letter."""
        typed = [f"15 {micro}{ohm}" for micro in "\u00b5\u03bc" for ohm in "\u2126\u03a9"]
        assert {read(text).unit for text in typed} == {"uohm"}


class TestUnitsAsPublished:
    @pytest.mark.parametrize(
        ("spelling", "value"),
        [
            ("in", constants.inch),
            ("ft", constants.foot),
            ("mile", constants.mile),
            ("lb", constants.pound),
            ("bar", constants.bar),
            ("min", constants.minute),
            ("h", constants.hour),
            ("day", constants.day),
            ("l", constants.liter),
            ("mV", constants.milli),
            ("kWh", constants.kilo * constants.hour),
        ],
    )
    def test_factors_are_those_of_scipy(self, spelling: str, value: float) -> None:
        """scipy.constants takes them from NIST SP 811."""
        assert float(unit(spelling).factor) == pytest.approx(value, rel=1e-15)

    @pytest.mark.parametrize("degrees", [-40, -4, 32, 68, 212])
    def test_temperatures_are_those_of_scipy(self, degrees: int) -> None:
        """Points on the scales, Fahrenheit to Celsius and kelvin to Celsius."""
        assert float(convert(Fraction(degrees), "degF", "degC")) == pytest.approx(
            constants.convert_temperature(degrees, "Fahrenheit", "Celsius")
        )
        assert float(convert(Fraction(degrees), "K", "degC")) == pytest.approx(degrees - constants.zero_Celsius)


class TestGuessing:
    def test_all_or_nothing_leaves_a_blind_guess_one_in_32(self) -> None:
        """Five options, each ticked or not: the binomial chance of judging all five rightly."""
        options = tuple((name, name) for name in "abcde")
        part = Part(name="p", prompt="", ask=Ask.SEVERAL, options=options, right=("a", "b"))
        guesses = [chosen for size in range(6) for chosen in itertools.combinations("abcde", size)]
        mean = sum(mark_choice(part, chosen).share for chosen in guesses) / len(guesses)
        assert mean == Fraction(1, 32)
        assert float(mean) == pytest.approx(binom.pmf(5, 5, 0.5))

    def test_an_order_counts_the_pairs_of_kendalls_tau(self) -> None:
        """Pairs in order = (tau + 1)/2 of all pairs, for each of the 24 orders of four lines (scipy)."""
        part = Part(name="p", prompt="", ask=Ask.ORDER, options=tuple((n, n) for n in "abcd"), order=tuple("abcd"))
        shares = []
        for chosen in itertools.permutations("abcd"):
            tau = kendalltau(range(4), [chosen.index(name) for name in "abcd"]).statistic
            found = mark_choice(part, chosen)
            pairs = re.match(r"(\d) of 6 pairs", found.says)
            assert float(pairs[1] if pairs else 6) == pytest.approx((tau + 1) / 2 * 6)
            shares.append(found.share)
        assert sum(shares) == 1


class Slot:
    def __init__(self, name: str, spelling: str) -> None:
        self.name, self.unit, self.whole = name, spelling, False


class Entry:
    title, mistake_of, says = "", None, ""

    def __init__(self, output: str, **inputs: str) -> None:
        self.inputs = [Slot(name, spelling) for name, spelling in inputs.items()]
        self.output = Slot("result", output)


def compute(key: str, values: Mapping[str, float]) -> float:
    return values["own"] + 2 * values["each"] if key == "bond" else values["bond"] * values["current"]


BOND = Book({"bond": Entry("ohm", own="ohm", each="ohm"), "drop": Entry("V", bond="ohm", current="A")}, compute)


class TestBondScenario:
    """A copper bond of 1.2 m and 120 mm2 at 20 degC, two joints of 15 uohm, 400 A.

    Resistivity 17 240 uohm mm2/m, which is IEC 60028's 1/58 ohm mm2/m rounded (from memory); the rest by hand:
    17 240 x 1.2 / 120 = 172.4 uohm, + 2 x 15 = 202.4 uohm, x 400 A = 80.96 mV.
    """

    item = sheet(
        number("lead", "172.4", "uohm", decimals=1, relative=Fraction(1, 100), sane=(Fraction(1), Fraction(10_000))),
        number(
            "bond",
            "202.4",
            "uohm",
            decimals=1,
            relative=Fraction(1, 100),
            sane=(Fraction(1), Fraction(10_000)),
            carry=Fraction(1),
            inputs={"own": {"part": "lead"}, "each": 15e-6},
        ),
        number(
            "drop",
            "80.96",
            "mV",
            relative=Fraction(1, 100),
            carry=Fraction(1, 2),
            inputs={"bond": {"part": "bond"}, "current": 400.0},
        ),
    )

    def shares(self, lead: str, bond: str, drop: str) -> list[Fraction]:
        return [found.share for found in mark(self.item, {"lead": lead, "bond": bond, "drop": drop}, book=BOND)]

    def test_takes_the_answers_worked_by_hand(self) -> None:
        """In any units."""
        assert self.shares("172.4 µΩ", "0.2024 mOhm", "0.08096 V") == [1, 1, 1]
        assert unit("uohm*mm2/m").factor == Fraction(1, 10**12)
        assert convert(Fraction(1, 58), "ohm*mm2/m", "uohm*mm2/m") == pytest.approx(17_240, rel=1e-4)

    def test_carries_an_error_down_the_chain(self) -> None:
        """86.2 uohm (length halved) leads rightly to 116.2 uohm and 46.48 mV."""
        assert self.shares("86.2", "116.2", "46.48") == [0, 1, Fraction(1, 2)]
        assert self.shares("86.2", "116.2", "80.96") == [0, 1, 1]
        assert self.shares("86.2", "202.4", "46.48") == [0, 1, 0]

    def test_carries_no_answer_a_thousand_times_out(self) -> None:
        """172.4 mohm for a bond is outside what can be: the chain stops there."""
        assert self.shares("172.4 mOhm", "172430", "68972") == [0, 0, 0]
