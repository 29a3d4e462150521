"""Decision consistency: the identity of two methods, limits, and what is refused."""

from fractions import Fraction
from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.statistics import decisions
from training.statistics.matrix import TooLittle
from training.statistics.reliability import kr21


class TestIdentity:
    @given(st.integers(5, 60), st.floats(0.2, 0.9), st.floats(0.3, 0.9), st.floats(0.4, 0.95))
    def test_effective_length_with_formula_21_is_the_length(self, k: int, level: float, r: float, cut: float) -> None:
        """With KR-21 as the reliability, Livingston and Lewis is Huynh with k items: exact algebra."""
        mean, marks = level * k, max(1, round(cut * k))
        variance = mean * (k - mean) / (k - r * (k - 1))  # KR-21 solved for the variance
        assert kr21(mean, variance, k) == pytest.approx(r)
        both = decisions.livingston_lewis(mean, variance, kr21(mean, variance, k), cut=marks, highest=k)
        alone = decisions.huynh(mean, variance, k, cut=marks)
        assert (both.length, both.cut) == (k, marks)
        assert both.consistency.consistency == pytest.approx(alone.consistency)
        assert both.consistency.passing == pytest.approx(alone.passing)

    def test_dust_does_not_raise_the_cut(self) -> None:
        """14 of 25 marks are 14 steps of a paper as long, though 14 / 25 x 25 is a little more in floats."""
        assert 14 / 25 * 25 > 14
        mean, k, r = 15.0, 25, 0.6
        variance = mean * (k - mean) / (k - r * (k - 1))
        found = decisions.livingston_lewis(mean, variance, kr21(mean, variance, k), cut=14, highest=k)
        assert (found.length, found.cut) == (25, 14)

    def test_share_of_marks_is_all_that_counts(self) -> None:
        """The same totals doubled and moved by five marks decide the same."""
        plain = decisions.livingston_lewis(14, 9, 0.7, cut=16, highest=20)
        moved = decisions.livingston_lewis(33, 36, 0.7, cut=37, lowest=5, highest=45)
        assert moved.consistency.consistency == pytest.approx(plain.consistency.consistency)
        assert (moved.length, moved.cut) == (plain.length, plain.cut)

    def test_wrong_and_right_make_a_whole(self) -> None:
        """Every decision is right, a false pass or a false fail, and as many pass as the consistency says."""
        found = decisions.livingston_lewis(14, 9, 0.7, cut=16, highest=20)
        assert found.accuracy + found.false_pass + found.false_fail == pytest.approx(1)


class TestSubkoviak:
    def test_of_one_level_is_the_binomial(self) -> None:
        """With no reliability everyone is taken at the mean: two tosses of one coin."""
        tail = sum(Fraction(comb(10, x), 2**10) for x in range(8, 11))
        found = decisions.subkoviak([4, 6], 10, cut=8, reliability=0)
        assert found.consistency == pytest.approx(float(tail**2 + (1 - tail) ** 2))
        assert found.kappa == pytest.approx(0, abs=1e-12)

    def test_kappa_of_a_certain_decision_is_not_a_number(self) -> None:
        """When all pass for certain there is nothing beyond chance to measure."""
        assert np.isnan(decisions.subkoviak([10, 10], 10, cut=8, reliability=1).kappa)

    @pytest.mark.parametrize(
        ("totals", "k", "cut", "r"), [([1], 10, 5, 0.5), ([1, 11], 10, 5, 0.5), ([-1, 5], 10, 5, 0.5)]
    )
    def test_refuses_scores_off_the_paper(self, totals: list[float], k: int, cut: int, r: float) -> None:
        """Two people or more, each from nothing to full marks."""
        with pytest.raises(TooLittle):
            decisions.subkoviak(totals, k, cut=cut, reliability=r)

    @pytest.mark.parametrize("cut", [0, 11])
    def test_refuses_a_cut_off_the_paper(self, cut: int) -> None:
        """A cut of nothing passes everyone."""
        with pytest.raises(TooLittle, match="its cut"):
            decisions.subkoviak([1, 5], 10, cut=cut, reliability=0.5)


class TestNormal:
    def test_without_reliability_is_chance(self) -> None:
        """Two papers that share nothing agree as two coins do."""
        found = decisions.normal(1.0, 0)
        assert found.kappa == pytest.approx(0, abs=1e-12)
        assert found.passing == pytest.approx(0.158655253931457)

    def test_of_full_reliability_is_certain(self) -> None:
        """The same score twice."""
        found = decisions.normal(-0.7, 1)
        assert (found.consistency, found.kappa) == (pytest.approx(1), pytest.approx(1))

    def test_above_and_below_the_mean_are_alike(self) -> None:
        """Only passing and failing change places."""
        above, below = decisions.normal(0.8, 0.6), decisions.normal(-0.8, 0.6)
        assert (above.consistency, above.kappa) == (pytest.approx(below.consistency), pytest.approx(below.kappa))
        assert above.passing == pytest.approx(1 - below.passing)

    def test_refuses_a_reliability_out_of_range(self) -> None:
        """From 0 to 1."""
        with pytest.raises(TooLittle, match="reliability"):
            decisions.normal(0, 1.1)


class TestRefusals:
    def test_no_reliability_no_judgement(self) -> None:
        """Totals that vary less than chance have no KR-21 above 0."""
        with pytest.raises(TooLittle, match="above 0"):
            decisions.huynh(5, 1, 10, cut=8)

    def test_more_spread_than_the_paper_has(self) -> None:
        """No totals from 0 to 10 with mean 5 vary by more than 25."""
        with pytest.raises(TooLittle, match="check the range"):
            decisions.livingston_lewis(5, 30, 0.9, cut=8, highest=10)

    @pytest.mark.parametrize(("mean", "variance", "cut"), [(0, 1, 8), (10, 1, 8), (5, 0, 8), (5, 1, 0), (5, 1, 11)])
    def test_moments_off_the_paper(self, mean: float, variance: float, cut: float) -> None:
        """The mean inside, the cut above the foot, some spread."""
        with pytest.raises(TooLittle, match="inside the range"):
            decisions.livingston_lewis(mean, variance, 0.8, cut=cut, highest=10)


class TestGuessing:
    def test_counts_every_way(self) -> None:
        """Three coins: two or more heads in four of eight ways."""
        assert decisions.guess_pass([0.5] * 3, 2) == 0.5

    def test_true_or_false_on_ten_items(self) -> None:
        """Eight or more of ten coins in 56 of 1024 ways: 5.5 %."""
        assert decisions.guess_pass([0.5] * 10, 8) == pytest.approx(56 / 1024)

    def test_refuses_a_cut_or_chance_out_of_range(self) -> None:
        """Chances lie from 0 to 1, the cut on the paper."""
        with pytest.raises(TooLittle, match="cut"):
            decisions.guess_pass([0.5], 2)
        with pytest.raises(TooLittle, match="chance"):
            decisions.guess_pass([1.5], 1)
