"""Rounding to whole numbers with float noise."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import whole


class TestWhole:
    """Noise in the last bit does not cost a shot."""

    @pytest.mark.parametrize(("value", "down", "up"), [(107.99999999999999, 108, 108), (108.4, 108, 109), (3.0, 3, 3)])
    def test_down_and_up(self, value: float, down: int, up: int) -> None:
        """A product that should be whole counts as whole."""
        assert (whole.down(value), whole.up(value)) == (down, up)

    @pytest.mark.parametrize("value", [435e6, -435e6])
    def test_noise_grows_with_the_number(self, value: float) -> None:
        """The last bit of a great number is more than a billionth, and still only noise."""
        assert whole.down(math.nextafter(value, -math.inf)) == value
        assert whole.up(math.nextafter(value, math.inf)) == value

    @given(st.integers(0, 10**6), st.floats(0.01, 0.99))
    def test_brackets(self, count: int, part: float) -> None:
        """Anything clearly between two whole numbers goes to its own side."""
        assert (whole.down(count + part), whole.up(count + part)) == (count, count + 1)
