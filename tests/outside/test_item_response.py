"""Curves of items against published fits and against another way to the same likelihood.

The published figures are those of the R package ltm for the data it calls LSAT (Rizopoulos 2006, J. Stat. Softw.
17(5)); standard errors from memory.
"""

import warnings
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize
from scipy.stats import norm

from tests.outside import answers
from training.statistics import item_response as ir

with warnings.catch_warnings():
    # The package warns of its own affairs while it is imported.
    warnings.simplefilter("ignore")
    from statsmodels.tools.numdiff import approx_hess

# Ability on an even grid, wide and fine enough for the trapezoidal rule to be exact to ten figures.
GRID = np.linspace(-9, 9, 721)
WEIGHT = norm.pdf(GRID) * (GRID[1] - GRID[0])


@pytest.fixture(scope="module")
def lsat() -> np.ndarray:
    """1000 people by five questions, right or wrong."""
    return answers.lsat()


def log_likelihood(table: np.ndarray, slope: np.ndarray, difficulty: np.ndarray) -> float:
    """Return the marginal log likelihood by the trapezoidal rule, pattern by pattern."""
    patterns, counts = np.unique(table, axis=0, return_counts=True)
    right = 1 / (1 + np.exp(-slope * (GRID[:, None] - difficulty)))
    each = [np.prod(np.where(pattern == 1, right, 1 - right), axis=1) @ WEIGHT for pattern in patterns]
    return float(counts @ np.log(each))


class TestRasch:
    def test_as_published(self, lsat: np.ndarray) -> None:
        """Four places of the difficulties and their errors, three of the likelihood; six places as computed before."""
        found = ir.rasch(lsat)
        assert found.difficulty.round(4).tolist() == [-2.8720, -1.0630, -0.2576, -1.3881, -2.2188]
        assert found.difficulty_error.round(4).tolist() == [0.1287, 0.0821, 0.0766, 0.0865, 0.1048]
        assert round(found.log_likelihood, 3) == -2473.054
        assert found.difficulty.round(6).tolist() == [-2.871971, -1.063029, -0.257611, -1.388059, -2.218778]
        assert found.log_likelihood == pytest.approx(-2473.05385, abs=1e-5)

    def test_by_another_way(self, lsat: np.ndarray) -> None:
        """The same likelihood on a grid, climbed without a gradient; errors from its curvature by differences."""
        found = ir.rasch(lsat)
        self._agrees(found.difficulty, found.difficulty_error, lambda b: -log_likelihood(lsat, np.ones(5), b))

    def test_one_slope_as_published(self, lsat: np.ndarray) -> None:
        """As above, with a slope of .7551; published -3.6153 to -2.7802."""
        found = ir.one_slope(lsat)
        assert found.difficulty.round(4).tolist() == [-3.6153, -1.3224, -0.3176, -1.7301, -2.7802]
        assert found.difficulty_error.round(4).tolist() == [0.3266, 0.1422, 0.0977, 0.1691, 0.2510]
        assert (round(found.slope[0], 4), round(found.slope_error[0], 4)) == (0.7551, 0.0694)
        assert found.difficulty == pytest.approx([-3.615264, -1.322420, -0.317630, -1.730089, -2.780170], abs=5e-6)
        assert round(found.slope[0], 6) == 0.755135
        assert found.log_likelihood == pytest.approx(-2466.93760, abs=1e-5)

    def test_one_slope_by_another_way(self, lsat: np.ndarray) -> None:
        """Difficulties first, then the slope."""
        found = ir.one_slope(lsat)
        self._agrees(
            np.append(found.difficulty, found.slope[0]),
            np.append(found.difficulty_error, found.slope_error[0]),
            lambda x: -log_likelihood(lsat, np.full(5, x[5]), x[:5]),
        )

    @staticmethod
    def _agrees(found: np.ndarray, error: np.ndarray, loss: Callable[[np.ndarray], float]) -> None:
        start = np.append(np.full(5, -1.5), np.ones(len(found) - 5))
        climbed = minimize(loss, start, method="BFGS", options={"gtol": 1e-3})
        assert found == pytest.approx(climbed.x, abs=2e-4)
        assert loss(found) <= climbed.fun + 1e-9
        assert error == pytest.approx(np.sqrt(np.diag(np.linalg.inv(approx_hess(found, loss)))), rel=1e-3)


class TestTwoParameters:
    def test_as_computed_in_two_ways(self, lsat: np.ndarray) -> None:
        """Expectation-maximisation and direct climbing agreed on these to 1e-5."""
        found = ir.two_parameter(lsat)
        assert found.difficulty == pytest.approx([-3.3588109, -1.3700578, -0.2796662, -1.8663810, -3.1259077], abs=2e-6)
        assert found.slope == pytest.approx([0.8256596, 0.7227441, 0.8908747, 0.6883680, 0.6568557], abs=2e-6)
        assert found.log_likelihood == pytest.approx(-2466.6533774, abs=1e-7)

    def test_as_published(self, lsat: np.ndarray) -> None:
        """The published fit stopped a little short of the top: .003 in its figures, .002 in its errors."""
        found = ir.two_parameter(lsat)
        printed = [-3.3597341, -1.3696497, -0.2798983, -1.8659189, -3.1235725]
        slopes = [0.8253715, 0.7229499, 0.8904748, 0.6885502, 0.6574516]
        assert found.difficulty == pytest.approx(printed, abs=0.003)
        assert found.slope == pytest.approx(slopes, abs=0.003)
        assert found.difficulty_error == pytest.approx([0.8669, 0.3073, 0.0997, 0.4341, 0.8700], abs=0.002)
        assert found.slope_error == pytest.approx([0.2581, 0.1867, 0.2326, 0.1852, 0.2100], abs=0.002)
        assert found.log_likelihood > log_likelihood(lsat, np.array(slopes), np.array(printed))

    def test_by_another_way(self, lsat: np.ndarray) -> None:
        """On a grid no small step in any direction is better, and the curvature gives the same errors."""
        found = ir.two_parameter(lsat)
        top = np.concatenate([found.difficulty, found.slope])

        def loss(x: np.ndarray) -> float:
            return -log_likelihood(lsat, x[5:], x[:5])

        assert loss(top) == pytest.approx(-found.log_likelihood, abs=1e-7)
        for step in np.vstack([np.eye(10), -np.eye(10)]) * 0.01:
            assert loss(top + step) > loss(top)
        error = np.sqrt(np.diag(np.linalg.inv(approx_hess(top, loss))))
        assert np.concatenate([found.difficulty_error, found.slope_error]) == pytest.approx(error, rel=2e-3)

    def test_of_another_paper(self) -> None:
        """1000 people, psych `lsat7` (Bock and Lieberman 1970): the likelihood by adaptive integration from scipy."""
        table = answers.load("psych", "lsat7")
        found = ir.two_parameter(table)
        total = 0.0
        for pattern, count in zip(*np.unique(table, axis=0, return_counts=True), strict=True):

            def at(t: float, pattern: np.ndarray = pattern) -> float:
                right = found.chance([t])[0]
                return float(norm.pdf(t) * np.prod(np.where(pattern == 1, right, 1 - right)))

            total += count * np.log(quad(at, -9, 9, epsabs=1e-12)[0])
        assert found.log_likelihood == pytest.approx(total, abs=1e-6)
        # Expected and observed shares right agree for each item at the top of the likelihood.
        expected = [quad(lambda t, i=i: norm.pdf(t) * found.chance([t])[0, i], -9, 9)[0] for i in range(5)]
        assert expected == pytest.approx(table.mean(axis=0), abs=1e-4)
