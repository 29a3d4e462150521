"""Hand-arm vibration against directive 2002/44/EC and worked values."""

import pytest

from training.calc import vibration
from training.calc.catalogue import compute

HOUR = 3600.0


class TestExposure:
    """ISO 5349-1:2001 as cited in 2002/44/EC (read): action 2.5, limit 5.0 m/s2."""

    def test_one_tool(self) -> None:
        """7 m/s2 for 20 minutes."""
        assert vibration.exposure(7, HOUR / 3) == pytest.approx(1.4288690166235205, rel=1e-12)
        assert vibration.points(7, HOUR / 3) == pytest.approx(32.66666666666666, rel=1e-12)
        assert vibration.time_to_action(7) / HOUR == pytest.approx(1.0204081632653061, rel=1e-12)
        assert vibration.time_to_limit(7) / HOUR == pytest.approx(4.081632653061225, rel=1e-12)

    def test_two_tools(self) -> None:
        """And 4 m/s2 for an hour."""
        assert vibration.exposure_two(7, HOUR / 3, 4, HOUR) == pytest.approx(2.0103896803024695, rel=1e-12)

    def test_action_value_is_a_hundred_points(self) -> None:
        """5 m/s2 for two hours."""
        assert vibration.exposure(5, 2 * HOUR) == pytest.approx(2.5, rel=1e-12)
        assert vibration.points(5, 2 * HOUR) == pytest.approx(100, rel=1e-12)

    def test_wrong_answers(self) -> None:
        """4.5 m/s2 for 45 minutes."""
        values = {"magnitude": 4.5, "trigger_time": 0.75 * HOUR}
        key = "vibration.exposure"
        assert compute(key, values) == pytest.approx(1.38, abs=5e-3)
        assert compute(f"{key}.linear", values) == pytest.approx(0.42, abs=5e-3)
        assert compute(f"{key}.not_referred", {"magnitude": 4.5}) == 4.5
        assert compute(f"{key}.one_hour", values) == pytest.approx(3.90, abs=5e-3)
