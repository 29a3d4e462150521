"""What must hold for every value, tried on many."""

import time
from decimal import Decimal
from fractions import Fraction
from functools import cache

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.training.questions.workbook import BOOK, CHAIN, DROP, SHOTS, spec
from training.questions.draw import draw
from training.questions.item import Item
from training.questions.marking import mark, unreadable
from training.questions.reading import Unreadable, read
from training.questions.rounding import exact, round_half_up, rounded, written
from training.questions.specs import Ask, QuestionSpec
from training.questions.stream import Draw
from training.questions.units import ATOMS, UnknownUnit, convert, fits, unit

SPECS = {"drop": DROP, "chain": CHAIN, "shots": SHOTS}
seeds = st.integers(0, 400)
kinds = st.sampled_from(sorted(SPECS))
MINUTE = settings(max_examples=60, deadline=None)


@cache
def question(kind: str) -> QuestionSpec:
    return spec(SPECS[kind])


def ways(digits: str) -> list[str]:
    """The same number as different people write it."""
    whole, _, part = digits.partition(".")
    comma = f"{whole},{part}" if part and len(part) != 3 else digits
    grouped = f"{int(whole):,}".replace(",", "\N{NARROW NO-BREAK SPACE}") + (f".{part}" if part else "")
    return [digits, comma, grouped, f" {digits} ", f"+{digits}", f"{digits}e0", f"{digits} x 10^0", f"= {digits}"]


@MINUTE
@given(kinds, seeds, st.integers(0, 7))
def test_a_correctly_rounded_answer_is_always_right(kind: str, seed: int, way: int) -> None:
    """However it is written: a person who works rightly and rounds as asked has full marks."""
    item = draw(question(kind), seed, book=BOOK)
    numbers = [part for part in item.parts if part.ask is Ask.NUMBER]
    marks = mark(item, {part.name: ways(part.shown)[way] + " " + part.hint for part in numbers}, book=BOOK)
    assert [found.share for found in marks[: len(numbers)]] == [1] * len(numbers)


@MINUTE
@given(kinds, seeds)
def test_a_misconception_is_always_refused_by_name(kind: str, seed: int) -> None:
    """Its printed value earns nothing and is recognised."""
    item = draw(question(kind), seed, book=BOOK)
    for part in item.parts:
        for wrong in part.wrong:
            found = next(one for one in mark(item, {part.name: wrong.shown}, book=BOOK) if one.name == part.name)
            assert (found.share, found.misconception) == (0, wrong.misconception)


@MINUTE
@given(kinds, seeds)
def test_every_item_comes_back_from_storage(kind: str, seed: int) -> None:
    """Item, JSON, item."""
    item = draw(question(kind), seed, book=BOOK)
    assert Item.from_json(item.shown(), item.key()) == item


@MINUTE
@given(seeds, st.fractions(Fraction("0.5"), 20))
def test_an_error_within_the_sane_range_is_always_carried(seed: int, loop: Fraction) -> None:
    """The second part, worked rightly from any sane first answer, has its share."""
    item = draw(question("chain"), seed, book=BOOK)
    typed = written(loop, 6)
    volts = Fraction(typed) * 240 / 1000
    found = mark(item, {"loop": typed, "drop": written(volts, 9)}, book=BOOK)[1]
    assert found.share == 1


@given(st.fractions(-(10**6), 10**6), st.sampled_from(sorted(ATOMS)), st.sampled_from(sorted(ATOMS)))
def test_a_unit_comes_back_from_any_other(value: Fraction, one: str, other: str) -> None:
    """There and back is exact; what does not fit one way does not fit the other."""
    assert fits(one, other) == fits(other, one)
    if fits(one, other) and "K" not in (one, other):
        assert convert(convert(value, one, other), other, one) == value


PINT = pint.UnitRegistry(non_int_type=Decimal)
COMPARED = {
    "mV": "millivolt",
    "kA": "kiloampere",
    "uohm": "microohm",
    "ohm/km": "ohm/kilometer",
    "mm2": "millimeter**2",
    "ohm*mm2/m": "ohm*millimeter**2/meter",
    "J/(kg*K)": "joule/(kilogram*kelvin)",
    "Ah": "ampere_hour",
    "kWh": "kilowatt_hour",
    "lb": "pound",
    "ft": "foot",
    "in": "inch",
    "mile": "mile",
    "min": "minute",
    "bar": "bar",
    "l": "liter",
    "day": "day",
}


@pytest.mark.parametrize(("spelling", "name"), COMPARED.items())
def test_factors_agree_with_a_second_registry(spelling: str, name: str) -> None:
    """Parsed by pint from full names, in decimals; our own compounding must give the same."""
    theirs = PINT.Quantity(Decimal(1), name).to_base_units().magnitude
    assert float(unit(spelling).factor) == pytest.approx(float(theirs), rel=1e-12)


@given(st.fractions(-(10**9), 10**9), st.integers(0, 6))
def test_rounding_moves_a_number_by_half_a_digit_at_most(value: Fraction, decimals: int) -> None:
    """Half up is the nearest; up and down lie on their sides within one digit."""
    step = Fraction(1, 10**decimals)
    assert abs(round_half_up(value, decimals) - value) <= step / 2
    assert 0 <= rounded(value, decimals, "up") - value < step
    assert 0 <= value - rounded(value, decimals, "down") < step
    assert Fraction(written(value, decimals)) == round_half_up(value, decimals)


@given(st.decimals(-(10**6), 10**6, places=4))
def test_a_float_written_short_is_read_exactly(value: Decimal) -> None:
    """Ten digits survive the way through a float."""
    assert exact(float(value)) == Fraction(value)


@given(st.text(max_size=5), st.integers(1, 50))
def test_a_shuffle_loses_and_gains_nothing(key: str, count: int) -> None:
    """Same things, and every draw below its count."""
    draws = Draw(key.encode(errors="ignore").decode(), 1)
    assert sorted(draws.shuffle(range(count))) == list(range(count))
    assert 0 <= draws.below(count) < count


WORDS = (
    "1e999999999",
    "e-999999999",
    "10",
    "10^",
    "nan",
    "inf",
    "mV",
    "MOHM",
    "ohm",
    "sq ",
    "milli ",
    "per ",
    "9" * 30,
)
SIGNS = "10,.'-+eE^*x×/()%=~VΩµ°C⁻⁴²−٣½１∞😀_ \n\x00\ud800\N{THIN SPACE}\N{COMBINING ACUTE ACCENT}"
PIECES = (*WORDS, *SIGNS)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=12).map("".join) | st.text(max_size=90))
def test_hostile_answers_are_read_or_asked_again(typed: str) -> None:
    """Nothing else is ever raised, whatever is typed, and what is said back can be encoded."""
    try:
        found = read(typed, like="V")
    except Unreadable as problem:
        assert problem.sentence.encode()
    else:
        assert found.printed("V").encode()
        assert abs(found.value) < 10**120


@settings(max_examples=100, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=8).map("".join), seeds)
def test_hostile_sheets_are_marked_or_asked_again(typed: str, seed: int) -> None:
    """The same through marking: shares stay between 0 and 1."""
    item = draw(question("chain"), seed % 5, book=BOOK)
    responses = {"loop": typed, "drop": typed, "act": ["a"]}
    if not list(unreadable(item, responses)):
        assert all(0 <= found.share <= 1 for found in mark(item, responses, book=BOOK))


@settings(max_examples=200, deadline=None)
@given(st.text("VAohmsk*/()^-12 %", max_size=20))
def test_hostile_units_are_known_or_not(typed: str) -> None:
    """No other error comes out of a spelling."""
    try:
        assert unit(typed).factor > 0
    except UnknownUnit:
        assert typed not in ATOMS


@pytest.mark.parametrize(
    "typed", ["9" * 10**6, "1" + " 000" * 250_000, "(" * 10**6, "1e" + "9" * 10**6, "1 " + "V*" * 500_000]
)
def test_a_million_characters_are_refused_at_once(typed: str) -> None:
    """Length is looked at before anything else."""
    start = time.perf_counter()
    with pytest.raises(Unreadable):
        read(typed)
    assert time.perf_counter() - start < 0.5
