"""Curves of items: recovery of known ones, symmetries, and what is refused."""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.stats import binom

from training.statistics import item_response as ir
from training.statistics.matrix import TooLittle

DIFFICULTY = np.array([-1.5, -1.0, -0.5, 0.0, 0.25, 0.5, 1.0, 1.5])
SLOPE = np.array([0.7, 1.0, 1.4, 1.8, 0.9, 1.2, 1.6, 0.8])
# Errors beyond which one true value in a hundred lies.
FAR = 2.576


def answers(slope: np.ndarray, *, people: int, seed: int) -> np.ndarray:
    """Return right or wrong of people whose ability is normal."""
    stream = np.random.default_rng(seed)
    line = slope * (stream.normal(size=(people, 1)) - DIFFICULTY)
    return (stream.random(line.shape) < 1 / (1 + np.exp(-line))).astype(float)


def outside(found: np.ndarray, error: np.ndarray, true: np.ndarray) -> int:
    """Return how many true values lie outside 99 % limits."""
    return int((np.abs(found - true) > FAR * error).sum())


class TestRecovery:
    """True values lie within their limits as often as limits promise: few enough by the binomial distribution."""

    def test_of_slopes_and_difficulties(self) -> None:
        """Twenty samples of 1000 people, sixteen parameters each."""
        fits = [ir.two_parameter(answers(SLOPE, people=1000, seed=seed)) for seed in range(20)]
        missed = sum(
            outside(fit.slope, fit.slope_error, SLOPE) + outside(fit.difficulty, fit.difficulty_error, DIFFICULTY)
            for fit in fits
        )
        assert missed <= binom.ppf(0.999, 20 * 16, 0.01)
        # Errors are as large as they should be, too: their squares match the scatter of the fits.
        scatter = np.var([fit.slope for fit in fits], axis=0, ddof=1).mean()
        assert np.mean([fit.slope_error**2 for fit in fits]) == pytest.approx(scatter, rel=0.35)

    def test_of_difficulties_alone(self) -> None:
        """Slope 1, and one slope for all, of the same people."""
        table = answers(np.ones(8), people=2000, seed=7)
        fixed, shared = ir.rasch(table), ir.one_slope(table)
        assert outside(fixed.difficulty, fixed.difficulty_error, DIFFICULTY) == 0
        assert (fixed.slope.tolist(), fixed.slope_error.tolist()) == ([1.0] * 8, [0.0] * 8)
        assert outside(shared.difficulty, shared.difficulty_error, DIFFICULTY) == 0
        assert np.ptp(shared.slope) == np.ptp(shared.slope_error) == 0
        assert abs(shared.slope[0] - 1) < FAR * shared.slope_error[0]


class TestSymmetry:
    TABLE = answers(SLOPE, people=400, seed=11)

    def test_more_freedom_fits_no_worse(self) -> None:
        """Each model holds the one before it."""
        fixed, shared, free = (fit(self.TABLE) for fit in (ir.rasch, ir.one_slope, ir.two_parameter))
        assert fixed.log_likelihood < shared.log_likelihood < free.log_likelihood

    def test_right_and_wrong_changed_round_turn_difficulty_over(self) -> None:
        """What was easy is hard, as steep as before, and as sure."""
        plain, turned = ir.two_parameter(self.TABLE), ir.two_parameter(1 - self.TABLE)
        # Ability is turned over as well, so slopes come out the same.
        assert turned.slope == pytest.approx(plain.slope, abs=1e-5)
        assert turned.difficulty == pytest.approx(-plain.difficulty, abs=1e-5)
        assert turned.difficulty_error == pytest.approx(plain.difficulty_error, abs=1e-5)

    def test_order_of_people_and_items_does_not_matter(self) -> None:
        """Items keep their curves wherever they stand."""
        plain, turned = ir.one_slope(self.TABLE), ir.one_slope(self.TABLE[::-1, ::-1])
        assert turned.difficulty[::-1] == pytest.approx(plain.difficulty, abs=1e-6)

    def test_an_item_keyed_wrongly_falls(self) -> None:
        """The able get it wrong, so its slope is below 0."""
        table = self.TABLE.copy()
        table[:, 3] = 1 - table[:, 3]
        assert ir.two_parameter(table).slope[3] < 0


class TestCurves:
    CURVES = ir.Curves(
        difficulty=np.array([0.0, 1.0]),
        slope=np.array([1.0, 2.0]),
        difficulty_error=np.zeros(2),
        slope_error=np.zeros(2),
        log_likelihood=0.0,
    )

    def test_chance_is_a_half_at_the_difficulty(self) -> None:
        """At ability 1: 1/(1 + 1/e), and a half."""
        assert self.CURVES.chance([0, 1]) == pytest.approx(
            np.array([[0.5, 1 / (1 + np.exp(2))], [1 / (1 + np.exp(-1)), 0.5]])
        )

    def test_information_is_largest_there(self) -> None:
        """A quarter of the slope squared at the difficulty (Birnbaum), less to either side."""
        found = self.CURVES.information(np.linspace(-3, 3, 601))
        assert found.max(axis=0) == pytest.approx([0.25, 1.0])
        assert found.argmax(axis=0).tolist() == [300, 400]

    def test_information_is_the_slope_of_the_chance_squared_over_its_variance(self) -> None:
        """(dP/dt)^2 / (P Q), by differences."""
        step, at = 1e-5, np.array([-1.0, 0.3, 2.0])
        growth = (self.CURVES.chance(at + step) - self.CURVES.chance(at - step)) / (2 * step)
        right = self.CURVES.chance(at)
        assert self.CURVES.information(at) == pytest.approx(growth**2 / (right * (1 - right)))


class TestRefusals:
    @pytest.mark.parametrize("fit", [ir.rasch, ir.one_slope, ir.two_parameter])
    def test_part_marks_and_constants(self, fit: Callable[..., ir.Curves]) -> None:
        """Right or wrong only, and somebody of each."""
        with pytest.raises(TooLittle, match="right"):
            fit([[0.5, 1, 0], [0, 1, 1]])
        with pytest.raises(TooLittle, match="all or none"):
            fit([[1, 1, 0], [1, 0, 1]])

    def test_too_few_items(self) -> None:
        """Two items have three free shares and four parameters."""
        with pytest.raises(TooLittle, match="3 columns"):
            ir.two_parameter([[1, 0], [0, 1]])

    def test_answers_that_do_not_go_together(self) -> None:
        """Coins have no ability: their totals vary less than by chance here, so the best slope is none."""
        coins = (np.random.default_rng(5).random((500, 10)) < 0.5).astype(float)
        assert coins.sum(axis=1).var() < 2.5
        with pytest.raises(TooLittle, match="does not grow with ability"):
            ir.one_slope(coins)

    def test_two_items_that_say_the_same(self) -> None:
        """The steeper their common curve the better it fits, without end."""
        table = answers(SLOPE, people=200, seed=5)[:, :4]
        with pytest.raises(TooLittle, match="do not settle"):
            ir.two_parameter(np.column_stack([table, table[:, 0]]))
