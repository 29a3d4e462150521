"""How papers decide, against published values, scipy's distributions and integration.

Where no published value is named, a value was had in two ways, of which the other one is repeated here.
"""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import beta, betabinom, binom, multivariate_normal, norm

from tests.outside.answers import ability, complete
from training.statistics import decisions
from training.statistics import reliability as rel


@pytest.fixture(scope="module")
def answered() -> np.ndarray:
    """1248 people by sixteen questions."""
    return complete(ability())


class TestDecisions:
    """Sixteen ability questions (psych `ability`, 1248 people without gaps), cut 10; moments of their totals."""

    MEAN, VARIANCE, FORMULA_20 = 8.367788461538, 15.399186775764, 0.8279519243738

    def test_moments(self, answered: np.ndarray) -> None:
        """Those of the totals, the variance that of the population."""
        total = answered.sum(axis=1)
        assert (total.mean(), total.var()) == (pytest.approx(self.MEAN), pytest.approx(self.VARIANCE))
        assert rel.kr20(answered) == pytest.approx(self.FORMULA_20)

    def test_huynh(self) -> None:
        """Huynh (1976); the passing share again from scipy's beta-binomial distribution."""
        found = decisions.huynh(self.MEAN, self.VARIANCE, 16, cut=10)
        assert found.consistency == pytest.approx(0.806719169442763)
        assert found.kappa == pytest.approx(0.600104276333741)
        assert found.passing == pytest.approx(0.408698509301281)
        r = rel.kr21(self.MEAN, self.VARIANCE, 16)
        assert found.passing == pytest.approx(
            betabinom(16, (1 / r - 1) * self.MEAN, 16 / r - 16 - (1 / r - 1) * self.MEAN).sf(9)
        )

    def test_livingston_lewis(self) -> None:
        """Livingston and Lewis (1995); values by numerical integration, of which consistency is repeated."""
        found = decisions.livingston_lewis(self.MEAN, self.VARIANCE, self.FORMULA_20, cut=10, highest=16)
        assert (found.length, found.cut) == (19, 12)
        assert found.consistency.consistency == pytest.approx(0.826233, abs=1e-6)
        assert found.consistency.kappa == pytest.approx(0.636164, abs=1e-6)
        assert found.accuracy == pytest.approx(0.873013, abs=1e-6)
        assert found.false_pass == pytest.approx(0.083757, abs=1e-6)
        assert found.false_fail == pytest.approx(0.043230, abs=1e-6)
        share, size = self.MEAN / 16, self.MEAN * (16 - self.MEAN) / (self.FORMULA_20 * self.VARIANCE) - 1
        true = beta(share * size, (1 - share) * size)
        alike = quad(lambda t: true.pdf(t) * (binom.sf(11, 19, t) ** 2 + binom.cdf(11, 19, t) ** 2), 0, 1, epsabs=1e-9)
        assert found.consistency.consistency == pytest.approx(alike[0], abs=1e-7)
        wrong = quad(lambda t: true.pdf(t) * binom.sf(11, 19, t), 0, 10 / 16, epsabs=1e-9)[0]
        assert found.false_pass == pytest.approx(wrong, abs=1e-7)

    def test_subkoviak(self, answered: np.ndarray) -> None:
        """Subkoviak (1976), one person after the other with scipy's binomial distribution; no published value."""
        total, r = answered.sum(axis=1), rel.kr20(answered)
        found = decisions.subkoviak(total, 16, cut=10, reliability=r)
        assert found.consistency == pytest.approx(0.794893995655457)
        assert found.kappa == pytest.approx(0.572747753847555)
        assert found.passing == pytest.approx(0.400145958247120)
        passes = [binom.sf(9, 16, (r * x + (1 - r) * total.mean()) / 16) for x in total]
        assert found.passing == pytest.approx(np.mean(passes))
        alike = np.mean([p * p + (1 - p) * (1 - p) for p in passes])
        chance = found.passing**2 + (1 - found.passing) ** 2
        assert found.consistency == pytest.approx(alike)
        assert found.kappa == pytest.approx((alike - chance) / (1 - chance))


class TestNormal:
    """Subkoviak (1988), J. Educ. Meas. 25, tables for normal scores: the row of a cut at the mean (from memory)."""

    @pytest.mark.parametrize(
        ("r", "alike", "kappa"),
        [
            (0.1, 0.53, 0.06),
            (0.2, 0.56, 0.13),
            (0.3, 0.60, 0.19),
            (0.4, 0.63, 0.26),
            (0.5, 0.67, 0.33),
            (0.6, 0.70, 0.41),
            (0.7, 0.75, 0.49),
            (0.8, 0.80, 0.59),
            (0.9, 0.86, 0.71),
        ],
    )
    def test_cut_at_the_mean(self, r: float, alike: float, kappa: float) -> None:
        """To the two places printed; in full 1/2 + asin(r) / pi, and 2 asin(r) / pi (Sheppard 1899)."""
        found = decisions.normal(0, r)
        assert (round(found.consistency, 2), round(found.kappa, 2)) == (alike, kappa)
        assert found.consistency == pytest.approx(0.5 + np.arcsin(r) / np.pi)
        assert found.kappa == pytest.approx(2 * np.arcsin(r) / np.pi)

    @pytest.mark.parametrize(("cut", "r"), [(0.5, 0.6), (-1.2, 0.8), (2.0, 0.3)])
    def test_cut_elsewhere(self, cut: float, r: float) -> None:
        """The normal distribution of two scores, from scipy."""
        both = multivariate_normal([0, 0], [[1, r], [r, 1]])
        found = decisions.normal(cut, r)
        assert found.consistency == pytest.approx(both.cdf([cut, cut]) + both.cdf([-cut, -cut]), abs=1e-6)
        assert found.passing == pytest.approx(norm.sf(cut))


class TestShortPapers:
    """How often people of one true level pass at 80 %: the binomial distribution, as scipy has it."""

    @pytest.mark.parametrize(
        ("k", "printed"),
        [
            (10, (0.93, 0.68, 0.38, 0.17)),
            (20, (0.96, 0.63, 0.24, 0.05)),
            (40, (0.985, 0.59, 0.11, 0.006)),
            (60, (0.994, 0.58, 0.06, 0.001)),
        ],
    )
    def test_pass_by_level(self, k: int, printed: tuple[float, ...]) -> None:
        """Levels .90, .80, .70 and .60; a level takes the place of a chance to guess."""
        for level, share in zip((0.9, 0.8, 0.7, 0.6), printed, strict=True):
            found = decisions.guess_pass([level] * k, k * 4 // 5)
            assert found == pytest.approx(binom.sf(k * 4 // 5 - 1, k, level))
            assert round(found, len(str(share)) - 2) == share

    def test_guessing_true_or_false(self) -> None:
        """Ten of them, cut 8: 5.5 %, and 20 % in four tries."""
        once = decisions.guess_pass([0.5] * 10, 8)
        assert round(once, 3) == 0.055
        assert round(1 - (1 - once) ** 4, 2) == 0.20

    def test_error_at_the_cut(self) -> None:
        """Lord (1957): 20 items at 16 give 1.84 marks, 40 at 32 give 2.56; squared errors average to KR-21's."""
        assert (round(rel.error_at(16, 20), 2), round(rel.error_at(32, 40), 2)) == (1.84, 2.56)


class TestGuessing:
    def test_is_the_binomial_tail(self) -> None:
        """Twenty questions, cut 14: four options, and true or false; scipy's binomial distribution."""
        assert decisions.guess_pass([0.25] * 20, 14) == pytest.approx(2.9511746106436476e-05)
        assert decisions.guess_pass([0.5] * 20, 14) == pytest.approx(0.057659149169921875)
        assert decisions.guess_pass([0.25] * 20, 14) == pytest.approx(binom.sf(13, 20, 0.25))

    def test_of_mixed_questions(self) -> None:
        """Ten true or false and ten of four options, cut 14: the two binomials convolved."""
        both = np.convolve(binom.pmf(range(11), 10, 0.5), binom.pmf(range(11), 10, 0.25))
        assert decisions.guess_pass([0.5] * 10 + [0.25] * 10, 14) == pytest.approx(0.002352338284254)
        assert decisions.guess_pass([0.5] * 10 + [0.25] * 10, 14) == pytest.approx(both[14:].sum())
