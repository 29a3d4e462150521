"""Lifting against the tables and worked examples of NIOSH 94-110.

Printed Example 1 gives 16.3 and 14.5 lb (from memory) because its worksheet rounds each multiplier;
printed Example 4 gives 34.9 lb (read) where the formula gives 34.8. Answers here keep full precision.
"""

import math

import pytest

from training.calc import lifting
from training.calc.catalogue import compute
from training.calc.lifting import CUSTOMARY, METRIC, multipliers

# Table 5 (read): lifts a minute, then up to 1, 2 and 8 hours; a pair is (below, from) 75 cm
TABLE_5 = {
    0.2: (1, 0.95, 0.85),
    0.5: (0.97, 0.92, 0.81),
    1: (0.94, 0.88, 0.75),
    2: (0.91, 0.84, 0.65),
    3: (0.88, 0.79, 0.55),
    4: (0.84, 0.72, 0.45),
    5: (0.80, 0.60, 0.35),
    6: (0.75, 0.50, 0.27),
    7: (0.70, 0.42, 0.22),
    8: (0.60, 0.35, 0.18),
    9: (0.52, 0.30, (0, 0.15)),
    10: (0.45, 0.26, (0, 0.13)),
    11: (0.41, (0, 0.23), 0),
    12: (0.37, (0, 0.21), 0),
    13: ((0, 0.34), 0, 0),
    14: ((0, 0.31), 0, 0),
    15: ((0, 0.28), 0, 0),
}


class TestTables:
    """Tables of the manual (read in a double transcription)."""

    @pytest.mark.parametrize(("rate", "row"), TABLE_5.items())
    @pytest.mark.parametrize(("column", "hours"), [(0, 1), (1, 2), (2, 8)])
    def test_frequency(self, rate: float, row: tuple[object, ...], column: int, hours: int) -> None:
        """Each cell, low and high hands."""
        cell = row[column]
        low, high = cell if isinstance(cell, tuple) else (cell, cell)
        assert lifting.frequency_multiplier(rate, 3600.0 * hours, 0.74) == low
        assert lifting.frequency_multiplier(rate, 3600.0 * hours, 0.75) == high

    @pytest.mark.parametrize(("grip", "low", "high"), [(1, 1, 1), (2, 0.95, 1), (3, 0.90, 0.90)])
    def test_grip(self, grip: int, low: float, high: float) -> None:
        """Good, fair, poor below and from 75 cm."""
        assert lifting.grip_multiplier(grip, 0.74) == low
        assert lifting.grip_multiplier(grip, 0.75) == high


class TestExamples:
    """Worked examples in inches and pounds."""

    ORIGIN = multipliers(CUSTOMARY, 23, 15, 48, 0)
    GOAL = multipliers(CUSTOMARY, 23, 63, 48, 0)

    def test_example_1_at_full_precision(self) -> None:
        """44 lb, H 23, V 15 to 63, D 48, fair grip (inputs from memory)."""
        origin = 51 * math.prod(self.ORIGIN) * 0.95
        goal = 51 * math.prod(self.GOAL)
        assert origin == pytest.approx(16.031288722826083, rel=1e-12)
        assert goal == pytest.approx(14.308133152173909, rel=1e-12)
        assert 44 / origin == pytest.approx(2.744632746670627, rel=1e-12)
        assert 44 / goal == pytest.approx(3.075174065829465, rel=1e-12)

    def test_example_1_as_its_worksheet_rounds(self) -> None:
        """Two decimals a multiplier, half up, give the printed 16.3 and 14.5 lb (from memory)."""

        def half_up(value: float) -> float:
            return math.floor(value * 100 + 0.5 + 1e-9) / 100

        reach = 0.44  # Table 1 (read) prints this for 23 in, where 10/23 is .4348
        origin = 51 * reach * math.prod(map(half_up, self.ORIGIN[1:])) * 0.95
        goal = 51 * reach * math.prod(map(half_up, self.GOAL[1:]))
        assert origin == pytest.approx(16.3167972, rel=1e-9)
        assert goal == pytest.approx(14.4738, rel=1e-9)

    def test_example_4(self) -> None:
        """H 10, V 22, D 37, three lifts a minute up to an hour, fair grip: 34.8 lb (printed 34.9, read)."""
        found = 51 * math.prod(multipliers(CUSTOMARY, 10, 22, 37, 0)) * 0.88 * 0.95
        assert found == pytest.approx(34.8, abs=0.05)

    def test_pack(self) -> None:
        """18 kg in metric, worked by hand; the mass of a pack is an input."""
        values = {"horizontal": 0.35, "vertical": 0.30, "travel": 0.55, "asymmetry": 30.0}
        values |= {"frequency_multiplier": 0.85, "grip_multiplier": 0.95}
        assert compute("lifting.limit", values) == pytest.approx(9.35504446961039, rel=1e-12)
        assert compute("lifting.index", values | {"load": 18.0}) == pytest.approx(1.9240956104989684, rel=1e-12)

    def test_best_case(self) -> None:
        """Hands at 25 and 75 cm, good grip, all day: 19.55 kg."""
        values = {"horizontal": 0.25, "vertical": 0.75, "travel": 0.25, "asymmetry": 0.0}
        values |= {"frequency_multiplier": 0.85, "grip_multiplier": 1.0}
        assert compute("lifting.limit", values) == pytest.approx(19.55, rel=1e-12)
        assert compute("lifting.index", values | {"load": 18.0}) == pytest.approx(0.9207161125319693, rel=1e-12)

    def test_short_reach_and_travel_count_as_25_cm(self) -> None:
        """Below 25 cm both are set to 25 cm (read)."""
        assert multipliers(METRIC, 0.1, 0.75, 0.1, 0) == multipliers(METRIC, 0.25, 0.75, 0.25, 0)


class TestWrongAnswers:
    """16 kg, H 35, V 50, D 35 cm, all day, fair grip; worked by hand."""

    def test_index(self) -> None:
        """The answer and the three named wrong ones."""
        place = {"load": 16.0, "horizontal": 0.35, "vertical": 0.50, "travel": 0.35, "asymmetry": 0.0}
        grip = {"grip_multiplier": lifting.grip_multiplier(2, 0.50)}
        values = place | grip | {"frequency_multiplier": lifting.frequency_multiplier(0.2, 28800, 0.50)}
        assert compute("lifting.index", values) == pytest.approx(1.37, abs=5e-3)
        assert compute("lifting.index.constant", {"load": 16.0}) == pytest.approx(0.70, abs=5e-3)
        assert compute("lifting.index.upside_down", values) == pytest.approx(0.73, abs=5e-3)
        hour = place | grip | {"lifts_per_minute": 0.2}
        assert compute("lifting.index.one_hour", hour) == pytest.approx(1.17, abs=5e-3)
