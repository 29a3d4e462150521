"""Where in the range of a drawn value answers go wrong."""

from decimal import Decimal

import pytest

from training.analysis import rules
from training.statistics.intervals import wilson


def corners(*draws: tuple[str, int, int]) -> tuple[rules.Corner, ...]:
    """The corners of draws given as value, right answers and wrong ones."""
    values = [Decimal(value) for value, right, wrong in draws for _use in range(right + wrong)]
    shares = [share for _value, right, wrong in draws for share in [1.0] * right + [0.0] * wrong]
    return rules.corners(values, shares)


class TestCorners:
    def test_of_few_values_are_the_values(self) -> None:
        """Four different ones are looked at one by one, from low to high, with Wilson's limits."""
        found = corners(("250", 9, 1), ("200", 7, 3), ("225", 1, 0), ("240", 1, 0))
        assert [(str(one.low), str(one.high), one.uses) for one in found] == [
            ("200", "200", 10), ("225", "225", 1), ("240", "240", 1), ("250", "250", 10),
        ]  # fmt: skip
        assert found[0].share == 0.7 and found[0].limits == wilson(7, 10)

    def test_of_many_values_are_thirds(self) -> None:
        """Twelve values once each: four a third."""
        found = corners(*((str(value), 1, 0) for value in range(1, 13)))
        assert [(one.low, one.high, one.uses) for one in found] == [(1, 4, 4), (5, 8, 4), (9, 12, 4)]

    def test_never_part_equal_values(self) -> None:
        """Half of all draws are 1: they stay together, and a third stays empty."""
        found = corners(("1", 6, 0), *((str(value), 1, 0) for value in range(2, 8)))
        assert found[0].low == found[0].high == 1 and found[0].uses == 6
        assert sum(one.uses for one in found) == 12

    def test_of_one_value_there_are_none(self) -> None:
        """Nothing varies, nothing is said."""
        assert corners(("200", 5, 5)) == ()
        assert rules.corners([], []) == ()


class TestBad:
    def test_needs_limits_wholly_below_the_others(self) -> None:
        """12 of 40 reaches .454 and 32 of 40 starts at .652 (Wilson); 24 of 40 starts at .446."""
        assert wilson(12, 40).high == pytest.approx(0.4543, abs=1e-4)
        assert wilson(24, 40).low == pytest.approx(0.4460, abs=1e-4)
        assert [one.bad for one in corners(("200", 12, 28), ("250", 32, 8))] == [True, False]
        assert [one.bad for one in corners(("200", 12, 28), ("250", 24, 16))] == [False, False]

    def test_needs_30_uses_on_both_sides(self) -> None:
        """29 are too few, however bad."""
        assert [one.bad for one in corners(("200", 0, 29), ("250", 40, 0))] == [False, False]
        assert [one.bad for one in corners(("200", 0, 30), ("250", 29, 0))] == [False, False]
        assert [one.bad for one in corners(("200", 0, 30), ("250", 30, 0))] == [True, False]
