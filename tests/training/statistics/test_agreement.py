"""Agreement of two assessors on tables that can be done by hand."""

import numpy as np
import pytest

from training.statistics import agreement
from training.statistics.matrix import TooLittle


class TestKappa:
    def test_collapses_when_nearly_all_pass(self) -> None:
        """96 of 100 agreed, yet kappa is below 0: expected .9608, so (.96 - .9608) / .0392; PABAK is .92."""
        table = [[96, 2], [2, 0]]
        found = agreement.kappa(table)
        assert found.observed == 0.96
        assert found.kappa == pytest.approx((0.96 - 0.9608) / 0.0392)
        assert agreement.pabak(table) == pytest.approx(0.92)

    def test_of_full_agreement_is_one_without_error(self) -> None:
        """Nothing is left to chance."""
        found = agreement.kappa([[5, 0], [0, 5]])
        assert (found.kappa, found.error) == (1, pytest.approx(0, abs=1e-7))

    def test_scale_of_the_weights_does_not_matter(self) -> None:
        """Steps apart, or twice the steps, say the same."""
        table = [[8, 2, 1], [1, 7, 2], [0, 3, 6]]
        weights = agreement.steps_apart(3)
        assert agreement.kappa(table, weights).kappa == pytest.approx(agreement.kappa(table, 2 * weights).kappa)

    @pytest.mark.parametrize(
        "weights", [np.eye(2), -agreement.steps_apart(2), agreement.steps_apart(3), np.zeros((2, 2))]
    )
    def test_refuses_weights_that_do_not_fit(self, weights: np.ndarray) -> None:
        """Agreement weighs nothing, disagreement something."""
        with pytest.raises(TooLittle, match="weights"):
            agreement.kappa([[5, 1], [1, 5]], weights)

    @pytest.mark.parametrize("table", [[[1, 2, 3], [1, 2, 3]], [[0, 0], [0, 0]], [[1, -1], [1, 1]]])
    def test_refuses_what_is_no_table_of_counts(self, table: list[list[int]]) -> None:
        """Square, not empty, nothing below 0."""
        with pytest.raises(TooLittle, match="square table"):
            agreement.kappa(table)

    def test_refuses_a_single_grade(self) -> None:
        """Where both always said the same one thing, chance explains it all."""
        with pytest.raises(TooLittle, match="chance"):
            agreement.kappa([[10, 0], [0, 0]])


class TestWithinClass:
    def test_of_a_constant_difference(self) -> None:
        """Assessors a mark apart agree fully on the order, not on the level."""
        found = agreement.within_class([[1, 2], [2, 3], [3, 4]])
        assert found.three_single == found.three_mean == 1
        assert found.two_single == pytest.approx(2 / 3)

    def test_refuses_pieces_all_alike(self) -> None:
        """Nothing tells the test pieces apart."""
        with pytest.raises(TooLittle, match="same mean"):
            agreement.within_class([[1, 2], [2, 1]])
