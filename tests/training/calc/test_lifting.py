"""Lifting: every step away from the best case lowers the limit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import lifting
from training.calc.ranges import OutOfRange

BEST = {
    "horizontal": 0.25,
    "vertical": 0.75,
    "travel": 0.25,
    "asymmetry": 0.0,
    "frequency_multiplier": 0.85,
    "grip_multiplier": 1.0,
}


class TestLimit:
    """Recommended weight limit."""

    @given(st.floats(0, 0.63), st.floats(0, 1.75), st.floats(0, 1.75), st.floats(0, 135))
    def test_best_case_is_best(self, horizontal: float, vertical: float, travel: float, asymmetry: float) -> None:
        """No other place allows more."""
        place = {"horizontal": horizontal, "vertical": vertical, "travel": travel, "asymmetry": asymmetry}
        assert 0 < lifting.limit(**(BEST | place)) <= lifting.limit(**BEST) + 1e-9

    def test_refuses_a_rate_that_is_not_allowed(self) -> None:
        """A multiplier of nothing leaves no limit to compare with."""
        with pytest.raises(OutOfRange, match="frequency multiplier must be above 0"):
            lifting.index(load=10, **(BEST | {"frequency_multiplier": 0}))


class TestFrequency:
    """Frequency multiplier."""

    @given(st.floats(0, 15), st.floats(0, 15), st.floats(60, 28_800))
    def test_more_lifts_allow_less(self, one: float, other: float, duration: float) -> None:
        """Along every column."""
        slow, fast = sorted((one, other))
        found = [lifting.frequency_multiplier(rate, duration, 0.5) for rate in (slow, fast)]
        assert found[0] >= found[1]

    def test_is_straight_between_rows(self) -> None:
        """Two and a half lifts a minute lie halfway between two and three."""
        assert lifting.frequency_multiplier(2.5, 3600, 0.5) == pytest.approx(0.895)

    def test_limits_of_use_are_printed(self) -> None:
        """What the equation does not cover is there to print beside a result."""
        assert "carrying more than one or two steps" in lifting.DOES_NOT_APPLY
