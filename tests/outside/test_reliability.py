"""Question and paper statistics against published values; where they come from stands in `answers.py`.

Where no published value is named, a value was had in two ways, of which the other one is repeated here.
"""

import warnings

import numpy as np
import pytest
from scipy.stats import binom, pointbiserialr

from tests.outside import answers
from training.statistics import items
from training.statistics import reliability as rel

with warnings.catch_warnings():
    # The package warns of its own affairs while it is imported.
    warnings.simplefilter("ignore")
    from pandas import DataFrame


@pytest.fixture(scope="module")
def lsat() -> np.ndarray:
    """1000 people by five questions, right or wrong."""
    return answers.lsat()


class TestItems:
    """Rizopoulos (2006), J. Stat. Softw. 17(5), describes the same data: facility, item-total and item-rest."""

    def test_facility(self, lsat: np.ndarray) -> None:
        """Proportions right as printed there."""
        assert items.facility(lsat) == pytest.approx([0.924, 0.709, 0.553, 0.763, 0.870])

    def test_item_total(self, lsat: np.ndarray) -> None:
        """Point-biserial correlation with the total, to the four places printed, and scipy's own."""
        found = items.item_total(lsat)
        assert found.round(4).tolist() == [0.3620, 0.5668, 0.6184, 0.5344, 0.4354]
        expected = [0.362010437161764, 0.566772095384460, 0.618439753567376, 0.534418326243924, 0.435366427887606]
        assert found == pytest.approx(expected, rel=1e-12)
        assert found == pytest.approx([pointbiserialr(item, lsat.sum(axis=1)).statistic for item in lsat.T])

    def test_item_rest(self, lsat: np.ndarray) -> None:
        """Point-biserial correlation with the rest, to the four places printed, and scipy's own."""
        found = items.item_rest(lsat)
        assert found.round(4).tolist() == [0.1128, 0.1532, 0.1728, 0.1444, 0.1216]
        expected = [0.112832688922342, 0.153178120116530, 0.172778943291090, 0.144428095247094, 0.121596402547096]
        assert found == pytest.approx(expected, rel=1e-12)
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
        found = rel.alpha_without(lsat)
        assert found.round(4).tolist() == [0.2754, 0.2376, 0.2168, 0.2459, 0.2663]
        assert found.round(7).tolist() == [0.2753562, 0.2375839, 0.2167995, 0.2459327, 0.2662944]

    def test_limits_of_alpha(self, lsat: np.ndarray) -> None:
        """Feldt's interval of the same alpha: .223 to .362 (computed with another library, 95 %)."""
        limits = rel.alpha_interval(rel.alpha(lsat), people=1000, items=5)
        assert (round(limits.low, 3), round(limits.high, 3)) == (0.223, 0.362)

    @pytest.mark.parametrize(("n", "low", "high"), [(30, 0.68, 0.89), (100, 0.74, 0.85), (200, 0.76, 0.84)])
    def test_limits_narrow_with_people(self, n: int, low: float, high: float) -> None:
        """Twenty items, alpha .80, to two places."""
        limits = rel.alpha_interval(0.8, people=n, items=20)
        assert (round(limits.low, 2), round(limits.high, 2)) == (low, high)

    def test_limits_hold_the_true_value_as_often_as_they_say(self) -> None:
        """1,000 samples of 30 people, ten items of one true score and equal errors: true alpha 10 / (10 + 2.5)."""
        stream = np.random.default_rng(12)
        held = 0
        for _ in range(1_000):
            marks = stream.normal(size=(30, 1)) + stream.normal(scale=2.5**0.5, size=(30, 10))
            limits = rel.alpha_interval(rel.alpha(marks), people=30, items=10)
            held += limits.low <= 0.8 <= limits.high
        low, high = binom.interval(0.999, 1_000, 0.95)
        assert low <= held <= high

    def test_formula_21_and_standard_error(self, lsat: np.ndarray) -> None:
        """Mean 3.819, variance 1.070239 (population); worked by hand, with the deviation of a sample."""
        total = lsat.sum(axis=1)
        assert (total.mean(), total.var()) == (pytest.approx(3.819), pytest.approx(1.070239))
        assert rel.kr21(total.mean(), total.var(), 5) == pytest.approx(0.196441168748289)
        assert rel.standard_error(total.std(ddof=1), rel.alpha(lsat)) == pytest.approx(0.869066612393306)

    def test_alpha_of_attitude(self) -> None:
        """Chatterjee and Price (1977), R's `attitude`, 30 departments: alpha .84 in the manual of psych."""
        assert rel.alpha(answers.load("datasets", "attitude")) == pytest.approx(0.843142769564760)

    def test_alpha_of_agreeableness(self) -> None:
        """psych `bfi`, A1 turned round, people without gaps (2709): .70 in the manual of psych."""
        table = answers.load("psych", "bfi", ["A1", "A2", "A3", "A4", "A5"])
        table[:, 0] = 7 - table[:, 0]
        whole = answers.complete(table)
        assert len(whole) == 2709
        assert rel.alpha(whole) == pytest.approx(0.7037558943748)
        assert rel.alpha_with_gaps(table) == pytest.approx(0.7030184460573) == pytest.approx(_by_pairs(table))

    def test_alpha_of_ability(self) -> None:
        """.83 in the manual of psych, with the people who answered all, or with every pair; omitted as wrong."""
        ability = answers.ability()
        answered = answers.complete(ability)
        assert len(answered) == 1248
        assert rel.kr20(answered) == pytest.approx(0.8279519243738)
        assert rel.alpha_with_gaps(ability) == pytest.approx(0.8292414009694) == pytest.approx(_by_pairs(ability))
        assert rel.kr20(np.nan_to_num(ability)) == pytest.approx(0.8407942239266)

    def test_split_halves_stepped_up(self) -> None:
        """Odd and even questions of `ability`, stepped up to the whole (Spearman 1910, Brown 1910)."""
        answered = answers.complete(answers.ability())
        halves = items.correlation(answered[:, ::2].sum(axis=1), answered[:, 1::2].sum(axis=1))
        assert halves == pytest.approx(0.739276317917954)
        assert rel.lengthened(halves, 2) == pytest.approx(0.850096457132152)


def _by_pairs(table: np.ndarray) -> float:
    """Return alpha from the covariances of pandas, which leaves gaps out pair by pair."""
    covariance = DataFrame(table).cov().to_numpy()
    k = table.shape[1]
    return k / (k - 1) * (1 - np.trace(covariance) / covariance.sum())
