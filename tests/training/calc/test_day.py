"""A day: repeats cost shots."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import day
from training.calc.ranges import OutOfRange

BONDS = st.integers(1, 300)
SHARE = st.floats(0, 0.3)


class TestShots:
    """Average and enough."""

    @given(BONDS, SHARE, SHARE)
    def test_more_repeats_take_more_shots(self, bonds: int, one: float, other: float) -> None:
        """Both figures rise with the share to be repeated."""
        good, bad = sorted((one, other))
        assert day.shots_mean(bonds, good) <= day.shots_mean(bonds, bad)
        assert day.shots_enough(bonds, good, 0.95) <= day.shots_enough(bonds, bad, 0.95)

    @given(BONDS, st.floats(0.01, 0.3), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
    def test_enough_is_enough_and_no_more(self, bonds: int, share: float, confidence: float) -> None:
        """The number keeps the confidence."""
        shots = int(day.shots_enough(bonds, share, confidence))
        assert day.enough_probability(shots, bonds, share) >= confidence - 1e-9

    def test_nothing_repeated(self) -> None:
        """Without repeats a shot a bond."""
        assert day.shots_mean(150, 0) == day.shots_enough(150, 0, 0.95) == 150

    def test_refuses_fewer_shots_than_bonds(self) -> None:
        """That can never be enough."""
        with pytest.raises(OutOfRange, match="must be at least 150"):
            day.enough_probability(149, 150, 0.06)
