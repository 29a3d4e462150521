"""Charge: whole shots, rounded down."""

from hypothesis import given
from hypothesis import strategies as st

from training.calc import charge

CAPACITY = st.floats(36_000, 72_000)


class TestShotsLeft:
    """What is left in the pack."""

    @given(CAPACITY, st.integers(0, 200))
    def test_never_exceeds_the_charge(self, capacity: float, fired: int) -> None:
        """Shots fired and left fit in the usable charge, and one more would not."""
        full = charge.shots_full(capacity, 0.9, 240, 1.75)
        assert full * 420 <= capacity * 0.9 * (1 + 1e-8) < (full + 1) * 420 * (1 + 2e-8)
        assert charge.shots_left(capacity, 0.9, 240, 1.75, fired) == max(0, full - fired)

    @given(CAPACITY, CAPACITY)
    def test_rises_with_capacity(self, one: float, other: float) -> None:
        """A larger pack never holds fewer."""
        small, large = sorted((one, other))
        assert charge.shots_full(small, 1, 240, 1.75) <= charge.shots_full(large, 1, 240, 1.75)


class TestChargeTime:
    """Time to put shots back."""

    @given(st.integers(1, 200))
    def test_puts_the_shots_back(self, shots: int) -> None:
        """The charger left on for that long restores just those shots."""
        time = charge.charge_time(shots, 240, 1.75, 5, 0.99)
        assert charge.shots_restored(time, 5, 0.99, 240, 1.75) == shots
