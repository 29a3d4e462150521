"""What bonds prove, against published tables, scipy and statsmodels."""

import math

import pytest
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from training.calc import evidence
from training.calc.catalogue import compute

# zero-failure sample sizes, textbook success-run table (Clopper and Pearson 1934, worked)
RUNS = {
    (0.90, 0.80): 11,
    (0.90, 0.90): 22,
    (0.90, 0.95): 45,
    (0.90, 0.99): 230,
    (0.95, 0.80): 14,
    (0.95, 0.90): 29,
    (0.95, 0.95): 59,
    (0.95, 0.99): 299,
    (0.99, 0.80): 21,
    (0.99, 0.90): 44,
    (0.99, 0.95): 90,
    (0.99, 0.99): 459,
}


class TestSuccessRun:
    """Classical convention, R = (1-C)^(1/n)."""

    @pytest.mark.parametrize(("asked", "bonds"), RUNS.items())
    def test_table(self, asked: tuple[float, float], bonds: int) -> None:
        """Each cell, and by scipy: enough at n, not at one fewer."""
        confidence, reliability = asked
        assert evidence.success_run(confidence, reliability) == bonds
        assert evidence.sample_size(confidence, reliability, 0) == bonds
        assert stats.binom.pmf(0, bonds, 1 - reliability) <= 1 - confidence
        assert stats.binom.pmf(0, bonds - 1, 1 - reliability) > 1 - confidence

    @pytest.mark.parametrize(
        ("confidence", "reliability", "failures", "bonds"),
        [(0.95, 0.90, 1, 46), (0.95, 0.90, 2, 61), (0.90, 0.90, 1, 38), (0.95, 0.95, 1, 93)],
    )
    def test_failures_allowed(self, confidence: float, reliability: float, failures: int, bonds: int) -> None:
        """Published sizes with failures allowed."""
        assert evidence.sample_size(confidence, reliability, failures) == bonds

    @pytest.mark.parametrize(
        ("confidence", "reliability", "bonds"), [(0.75, 0.5, 2), (0.5904, 0.8, 4), (0.67232, 0.8, 5)]
    )
    def test_risk_met_exactly(self, confidence: float, reliability: float, bonds: int) -> None:
        """0.5 x 0.5 = 0.25, 0.8 to the fourth = 0.4096, to the fifth = 0.32768, by hand: float noise costs no bond."""
        assert evidence.sample_size(confidence, reliability, 0) == bonds
        assert evidence.success_run(confidence, reliability) == bonds

    @pytest.mark.parametrize(("reliability", "length"), [(0.90, 28.43315880574342), (0.95, 58.40397481431972)])
    def test_before_rounding(self, reliability: float, length: float) -> None:
        """Worked lengths at 95 per cent confidence."""
        assert evidence.run_quotient(0.95, reliability) == pytest.approx(length, rel=1e-12)

    def test_wrong_answers(self) -> None:
        """90 per cent confidence of 98 per cent good."""
        values = {"confidence": 0.90, "reliability": 0.98}
        key = "evidence.success_run"
        assert compute(key, values) == 114
        assert compute(f"{key}.rounded_down", values) == 113
        assert compute(f"{key}.reciprocal", {"reliability": 0.98}) == 50
        assert compute(f"{key}.two_sided", values) == 149


class TestDemonstrated:
    """An unbroken run at 95 per cent."""

    @pytest.mark.parametrize(
        ("bonds", "percent"), [(3, 36.8), (5, 54.9), (10, 74.1), (20, 86.1), (30, 90.5), (59, 95.05)]
    )
    def test_runs(self, bonds: int, percent: float) -> None:
        """One decimal, worked; and the same as scipy's one-sided bound."""
        found = evidence.demonstrated(bonds, 0.95)
        assert 100 * found == pytest.approx(percent, abs=0.051)
        assert found == pytest.approx(stats.binomtest(bonds, bonds, alternative="greater").proportion_ci(0.95).low)

    def test_two_conventions(self) -> None:
        """Ten bonds, classical and with a uniform prior (scipy's beta)."""
        assert evidence.demonstrated(10, 0.95) == pytest.approx(0.7411344491069478, rel=1e-12)
        prior = evidence.demonstrated_uniform_prior(10, 0.95)
        assert prior == pytest.approx(0.7615958096191474, rel=1e-12)
        assert prior == pytest.approx(stats.beta.ppf(0.05, 11, 1), rel=1e-12)

    def test_wrong_answers(self) -> None:
        """Twenty bonds, in per cent."""
        values = {"bonds": 20.0, "confidence": 0.95}
        key = "evidence.demonstrated"
        assert 100 * compute(key, values) == pytest.approx(86.1, abs=0.05)
        assert compute(f"{key}.all", {}) == 1
        assert compute(f"{key}.confidence", {"confidence": 0.95}) == 0.95
        assert 100 * compute(f"{key}.swapped", values) == pytest.approx(99.7, abs=0.05)


class TestIntervals:
    """Clopper and Pearson 1934, Wilson 1927: printed values, scipy and statsmodels."""

    @pytest.mark.parametrize(
        ("good", "low", "high"),
        [
            (18, 0.6830172859809203, 0.9876514728297074),
            (19, 0.7512672372279745, 0.9987349105020478),
            (20, 0.8315665290169143, 1.0),
        ],
    )
    def test_exact(self, good: int, low: float, high: float) -> None:
        """Two-sided, 95 per cent, of twenty."""
        assert evidence.exact_interval(good, 20, 0.95) == pytest.approx((low, high), rel=1e-9)

    def test_one_sided(self) -> None:
        """Twenty of twenty."""
        assert evidence.lower_bound(20, 20, 0.95) == pytest.approx(0.8608916593317311, rel=1e-9)

    @pytest.mark.parametrize(("good", "bonds"), [(18, 20), (11, 12)])
    def test_one_sided_of_scipy(self, good: int, bonds: int) -> None:
        """Not all good: the one-sided bound of scipy's exact test."""
        theirs = stats.binomtest(good, bonds, alternative="greater").proportion_ci(0.95, method="exact").low
        assert evidence.lower_bound(good, bonds, 0.95) == pytest.approx(theirs, rel=1e-9)

    def test_ends_of_an_interval(self) -> None:
        """Each end by itself, 18 of 20 as above."""
        assert evidence.exact_low(18, 20, 0.95) == pytest.approx(0.6830172859809203, rel=1e-9)
        assert evidence.exact_high(18, 20, 0.95) == pytest.approx(0.9876514728297074, rel=1e-9)
        assert evidence.wilson_low(18, 20, 0.95) == pytest.approx(0.6989663547715128, rel=1e-9)
        assert evidence.wilson_high(18, 20, 0.95) == pytest.approx(0.9721335187862319, rel=1e-9)

    def test_wilson(self) -> None:
        """Eighteen of twenty."""
        found = evidence.wilson_interval(18, 20, 0.95)
        assert found == pytest.approx((0.6989663547715128, 0.9721335187862319), rel=1e-9)

    @pytest.mark.parametrize(("good", "bonds"), [(0, 10), (1, 7), (9, 10), (45, 50), (50, 50)])
    @pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
    def test_libraries(self, good: int, bonds: int, confidence: float) -> None:
        """Both intervals by scipy and by statsmodels."""
        exact = evidence.exact_interval(good, bonds, confidence)
        wilson = evidence.wilson_interval(good, bonds, confidence)
        test = stats.binomtest(good, bonds)
        for ours, method, theirs in ((exact, "exact", "beta"), (wilson, "wilson", "wilson")):
            scipy = test.proportion_ci(confidence, method=method)
            assert ours == pytest.approx((scipy.low, scipy.high), abs=1e-9)
            assert ours == pytest.approx(proportion_confint(good, bonds, 1 - confidence, theirs), abs=1e-9)


class TestPassing:
    """Operating characteristic by the binomial distribution; worked values and scipy."""

    @pytest.mark.parametrize(
        ("bonds", "allowed", "bad", "chance"),
        [
            (10, 0, 0.01, 0.9043820750088045),
            (10, 0, 0.05, 0.5987369392383789),
            (10, 0, 0.10, 0.34867844009999993),
            (10, 0, 0.20, 0.1073741824),
            (10, 1, 0.01, 0.9957337997571688),
            (10, 1, 0.05, 0.9138616441006839),
            (10, 1, 0.10, 0.7360989291000004),
            (10, 1, 0.20, 0.3758096384),
            (20, 1, 0.05, 0.7358395249438496),
            (20, 1, 0.20, 0.06917529027641078),
        ],
    )
    def test_chance(self, bonds: int, allowed: int, bad: float, chance: float) -> None:
        """Printed values, and the terms added by hand."""
        terms = sum(math.comb(bonds, k) * bad**k * (1 - bad) ** (bonds - k) for k in range(allowed + 1))
        assert evidence.pass_probability(bonds, allowed, bad) == pytest.approx(chance, rel=1e-10)
        assert evidence.pass_probability(bonds, allowed, bad) == pytest.approx(terms, rel=1e-10)

    def test_wrong_answers(self) -> None:
        """At most one bad of twelve, one in twenty bad; per cent."""
        values = {"bonds": 12.0, "allowed": 1.0, "bad_share": 0.05}
        none = {"bonds": 12.0, "bad_share": 0.05}
        key = "evidence.pass_probability"
        found = [
            round(100 * compute(name, inputs), 1)
            for name, inputs in [
                (key, values),
                (f"{key}.one_bond", {"bad_share": 0.05}),
                (f"{key}.none_allowed", none),
                (f"{key}.failing", values),
            ]
        ]
        assert found == [88.2, 95.0, 54.0, 11.8]

    def test_retest(self) -> None:
        """A second try: 1 - (1-P)^2, by scipy's geometric distribution."""
        assert evidence.retest_risk(0.3758096384, 2) == pytest.approx(stats.geom.cdf(2, 0.3758096384), rel=1e-12)
