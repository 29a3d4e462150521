"""Slots and checked functions."""

import math

import pytest

from training.calc.ranges import Checked, OutOfRange, Slot, checked

CURRENT = Slot("current", "I", "A", "current", 1, 400)
COUNT = Slot("count", "n", "1", "number of bonds", 1, None, whole=True)
LOSS = Slot("loss", "x", "1", "loss", None, 0.5)
FREE = Slot("free", "y", "V", "offset")


@checked(CURRENT, COUNT)
def total(current: float, count: int) -> float:
    """Current times count."""
    assert isinstance(count, int)
    return current * count


class TestSlot:
    """A slot lets good values through and explains the others."""

    def test_gives_the_value_back(self) -> None:
        """Bounds belong to the range."""
        assert [CURRENT.check(value) for value in (1, 400.0)] == [1.0, 400.0]
        assert FREE.check(-1e9) == -1e9

    @pytest.mark.parametrize(
        ("slot", "value", "sentence"),
        [
            (CURRENT, 0, "The current must be from 1 to 400 A; 0 was given."),
            (CURRENT, math.nan, "The current must be from 1 to 400 A; nan was given."),
            (COUNT, 0, "The number of bonds must be at least 1; 0 was given."),
            (COUNT, 2.5, "The number of bonds must be a whole number; 2.5 was given."),
            (COUNT, math.inf, "The number of bonds must be a whole number; inf was given."),
            (COUNT, math.nan, "The number of bonds must be a whole number; nan was given."),
            (LOSS, 0.6, "The loss must be at most 0.5; 0.6 was given."),
            (FREE, math.nan, "The offset must be a number; nan was given."),
        ],
    )
    def test_says_the_range(self, slot: Slot, value: float, sentence: str) -> None:
        """The sentence names the quantity, the range and what was given."""
        with pytest.raises(OutOfRange) as refused:
            slot.check(value)
        assert str(refused.value) == sentence


class TestChecked:
    """A checked function carries its slots and checks every call."""

    def test_checks_by_place_and_by_name(self) -> None:
        """Both ways of calling reach the function, whole numbers as int."""
        assert total(2.0, 3) == total(current=2.0, count=3) == 6.0
        assert total.inputs == (CURRENT, COUNT)
        assert total.__doc__ == "Current times count."

    def test_refuses_before_computing(self) -> None:
        """A value outside its slot never reaches the function."""
        with pytest.raises(OutOfRange, match="current must be from 1 to 400 A"):
            total(500.0, 3)

    def test_refuses_slots_that_do_not_fit(self) -> None:
        """A slot under another name than its parameter is a mistake in the code."""
        with pytest.raises(TypeError, match="its slots name others"):
            Checked(lambda amperes: amperes, (CURRENT,))
