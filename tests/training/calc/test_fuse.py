"""Fuse wire: time as one over the current squared."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from training.calc import fuse
from training.calc.ranges import OutOfRange

CURRENT = st.floats(50, 500)


class TestAreaAndTime:
    """Onderdonk both ways."""

    @given(CURRENT, st.floats(0.1, 5), st.floats(-40, 60))
    def test_undo_each_other(self, amperes: float, time: float, ambient: float) -> None:
        """The area for a time takes that time."""
        area = fuse.onderdonk_area(amperes, time, ambient)
        assert fuse.onderdonk_time(amperes, area, ambient) == pytest.approx(time, rel=1e-9)

    @given(CURRENT, CURRENT)
    def test_ratio_agrees(self, one: float, other: float) -> None:
        """The short rule gives what the formula gives."""
        time = fuse.onderdonk_time(one, 1e-6, 25)
        assume(0.01 <= time <= 10)
        assert fuse.time_ratio(time, one, other) == pytest.approx(fuse.onderdonk_time(other, 1e-6, 25), rel=1e-9)

    @given(st.floats(-40, 60), st.floats(-40, 60))
    def test_a_cold_wire_takes_longer(self, one: float, other: float) -> None:
        """Colder never burns sooner."""
        cold, warm = sorted((one, other))
        assert fuse.onderdonk_time(240, 1e-6, cold) >= fuse.onderdonk_time(240, 1e-6, warm)


class TestLoss:
    """A wire that loses heat."""

    @given(st.floats(100, 400), st.floats(0.1, 9))
    def test_constant_gives_the_time_back(self, amperes: float, time: float) -> None:
        """There and back."""
        tau = fuse.time_constant(amperes, 90, time)
        assert fuse.time_with_loss(amperes, 90, tau) == pytest.approx(time, rel=1e-9)

    def test_refuses_a_current_that_never_melts_it(self) -> None:
        """The sentence says the least current."""
        with pytest.raises(OutOfRange, match=r"must be above 92 A"):
            fuse.time_with_loss(92, 92, 9)
