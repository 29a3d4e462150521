"""Noise: louder counts for more."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import noise
from training.calc.catalogue import compute
from training.calc.ranges import OutOfRange

LEVEL = st.floats(70, 130)
TIME = st.floats(0, 20_000)


class TestDose:
    """Doses under the rules."""

    @given(LEVEL, TIME, LEVEL, TIME)
    def test_the_limit_counts_least(self, one: float, first: float, two: float, rest: float) -> None:
        """Advice, hearing conservation, limit: from strict to lax, at 85 dBA and louder."""
        values = (max(one, 85), first, max(two, 85), rest)
        assert noise.osha_dose(*values) <= noise.osha_dose_hearing(*values) <= noise.niosh_dose(*values) + 1e-12

    @given(LEVEL)
    def test_whole_allowed_time_is_a_whole_dose(self, level: float) -> None:
        """Under the advice."""
        assert noise.dose([(max(level, 80), noise.niosh_allowed(max(level, 80)))], noise.NIOSH) == pytest.approx(1)

    def test_averaging_needs_time(self) -> None:
        """No time, no average."""
        values = {"first_level": 95.0, "first_time": 0.0, "second_level": 90.0, "second_time": 0.0}
        with pytest.raises(OutOfRange, match="together must be above 0 s"):
            compute("noise.osha_dose.averaged", values)


class TestAverage:
    """Eight-hour average levels."""

    @given(st.floats(0.01, 50))
    def test_a_whole_dose_is_the_criterion(self, dose: float) -> None:
        """Above a whole dose the average is above the rule's level, below it below."""
        assert (noise.niosh_average(dose) >= 85) is (dose >= 1)
        assert (noise.osha_average(dose) >= 90) is (dose >= 1)
