"""Vibration: energy over the day."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import vibration

MAGNITUDE = st.floats(1, 20)
TIME = st.floats(60, 20_000)


class TestExposure:
    """Daily exposure."""

    @given(MAGNITUDE, TIME, MAGNITUDE, TIME)
    def test_two_tools_lie_between_worst_and_sum(self, one: float, first: float, two: float, rest: float) -> None:
        """Squares add."""
        parts = vibration.exposure(one, first), vibration.exposure(two, rest)
        both = vibration.exposure_two(one, first, two, rest)
        assert max(parts) <= both * (1 + 1e-12)
        assert both <= sum(parts)

    @given(st.floats(2.5, 20))
    def test_times_reach_their_values(self, magnitude: float) -> None:
        """For as long as said, the exposure is the action value."""
        time = vibration.time_to_action(magnitude)
        assert vibration.exposure(magnitude, time) == pytest.approx(2.5, rel=1e-9)
        assert vibration.time_to_limit(magnitude) == pytest.approx(4 * time, rel=1e-12)
