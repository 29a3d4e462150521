"""The ends of intervals and what they refuse."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.statistics.intervals import Limits, correlation_limits, quantile, wilson
from training.statistics.matrix import TooLittle


class TestQuantile:
    def test_refuses_certainty(self) -> None:
        """No interval is certain."""
        assert quantile(0.95) == pytest.approx(1.959963984540054)
        with pytest.raises(TooLittle, match="between 0 and 1"):
            quantile(1)


class TestWilson:
    @given(st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
    def test_holds_the_share_and_stays_inside(self, pair: tuple[int, int]) -> None:
        """The share lies in its limits, and these in 0 to 1."""
        x, n = pair
        limits = wilson(x, n)
        assert 0 <= limits.low <= x / n <= limits.high <= 1

    def test_refuses_nobody_and_too_many(self) -> None:
        """There is a case, and no more successes than cases."""
        with pytest.raises(TooLittle, match="at least one case"):
            wilson(0, 0)
        with pytest.raises(TooLittle, match="from 0 to 3"):
            wilson(4, 3)


class TestCorrelationLimits:
    def test_of_certainty_are_certain(self) -> None:
        """At 1 the transformation has no end to offer."""
        assert correlation_limits(1, 10) == Limits(1, 1)
        assert correlation_limits(-1, 10) == Limits(-1, -1)

    def test_of_thirty_pairs(self) -> None:
        """r = .3 of 30 pairs: z = .3095 -+ 1.96/sqrt(27) (Fisher), so from -.068 to .596."""
        limits = correlation_limits(0.3, 30)
        assert (round(limits.low, 3), round(limits.high, 3)) == (-0.068, 0.596)

    def test_refuse_few_pairs(self) -> None:
        """The error is 1 / sqrt(n - 3)."""
        with pytest.raises(TooLittle, match="four pairs"):
            correlation_limits(0.5, 3)
