"""Reliability: identities that hold for any paper, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from training.statistics import reliability as rel
from training.statistics.matrix import TooLittle

RIGHT_WRONG = arrays.arrays(
    np.float64, st.tuples(st.integers(3, 30), st.integers(3, 12)), elements=st.sampled_from([0.0, 1.0])
)


class TestAlpha:
    def test_refuses_equal_totals(self) -> None:
        """Where all totals are the same nobody can be ranked."""
        with pytest.raises(TooLittle, match="same total"):
            rel.alpha([[1, 0], [0, 1]])

    @given(RIGHT_WRONG)
    def test_of_right_and_wrong_is_formula_20(self, table: np.ndarray) -> None:
        """k/(k-1) (1 - sum p q / variance), written out."""
        total = table.sum(axis=1)
        if np.ptp(total) == 0:
            with pytest.raises(TooLittle, match="same total"):
                rel.kr20(table)
            return
        p, k = table.mean(axis=0), table.shape[1]
        assert rel.kr20(table) == pytest.approx(k / (k - 1) * (1 - (p * (1 - p)).sum() / total.var()))

    def test_formula_20_wants_right_or_wrong(self) -> None:
        """Part marks are alpha's affair."""
        with pytest.raises(TooLittle, match="use alpha"):
            rel.kr20([[0.5, 1], [0, 1]])

    def test_refuses_totals_that_differ_by_dust_alone(self) -> None:
        """0.1 + 0.2 + 0.3 is not 0.3 + 0.2 + 0.1 in the last figure."""
        with pytest.raises(TooLittle, match="same total"):
            rel.alpha([[0.1, 0.2, 0.3], [0.3, 0.2, 0.1]])

    def test_of_variances_is_the_formula(self) -> None:
        """Three items of variance 1 and totals of variance 6: 3/2 (1 - 3/6)."""
        assert rel.alpha_of([1, 1, 1], 6) == 0.75
        for variances, total in (([1.0], 1.0), ([1.0, 1.0], 0.0), ([1.0, 1.0], float("nan"))):
            with pytest.raises(TooLittle):
                rel.alpha_of(variances, total)

    def test_without_an_item_is_that_of_the_others(self) -> None:
        """Each of three items left out leaves a pair."""
        table = np.array([[1, 0, 1], [0, 0, 1], [1, 1, 0], [1, 1, 1]])
        pairs = [table[:, [1, 2]], table[:, [0, 2]], table[:, [0, 1]]]
        assert rel.alpha_without(table) == pytest.approx([rel.alpha(pair) for pair in pairs])

    def test_without_an_item_needs_three(self) -> None:
        """Two must be left."""
        with pytest.raises(TooLittle, match="3 columns"):
            rel.alpha_without([[1, 0], [0, 1]])


class TestGaps:
    def test_without_any_changes_nothing(self) -> None:
        """Where everyone has every score the covariances are those of all."""
        table = np.random.default_rng(2).normal(1e6, 1, size=(30, 5))
        assert rel.alpha_with_gaps(table) == pytest.approx(rel.alpha(table))

    def test_use_the_people_who_have_both(self) -> None:
        """Items a and b share three people, a and c two, b and c two; covariances 1, 1/2 and 1/2.

        Variances 1, 1 and 1/2: 3/2 (1 - 2.5 / (2.5 + 2 * 2)).
        """
        table = [[1, 1, 1], [2, 2, 2], [3, 3, np.nan]]
        assert rel.alpha_with_gaps(table) == pytest.approx(1.5 * (1 - 2.5 / 6.5))

    @pytest.mark.parametrize("table", [[1.0, 2.0], [[1.0, np.nan], [np.nan, 1.0], [2.0, 2.0]], [[np.inf, 1], [1, 1]]])
    def test_refuse_a_pair_without_people(self, table: list[float]) -> None:
        """One person has no covariance; an endless score is no score."""
        with pytest.raises(TooLittle, match="Each pair"):
            rel.alpha_with_gaps(table)


class TestFormula21:
    @given(RIGHT_WRONG)
    def test_squared_errors_average_to_its_error_variance(self, table: np.ndarray) -> None:
        """The mean of Lord's squared errors is variance times (1 - KR-21): exact algebra, for any totals."""
        total, k = table.sum(axis=1), table.shape[1]
        if total.var() == 0:
            return
        squares = np.mean([rel.error_at(score, k) ** 2 for score in total])
        assert squares == pytest.approx(total.var() * (1 - rel.kr21(total.mean(), total.var(), k)))

    def test_by_hand(self) -> None:
        """Ten items, mean 5, variance 6.25: 10/9 (1 - 25/62.5) = 2/3."""
        assert rel.kr21(5, 6.25, 10) == pytest.approx(2 / 3)

    def test_refuses_one_item_and_equal_totals(self) -> None:
        """Neither has a reliability."""
        for mean, variance, k in ((0.5, 1, 1), (5, 0, 10)):
            with pytest.raises(TooLittle, match="Formula 21"):
                rel.kr21(mean, variance, k)
        with pytest.raises(TooLittle, match="mean"):
            rel.kr21(11, 1, 10)


class TestDrawnAnew:
    def test_refuses_equal_totals(self) -> None:
        """Where all totals are the same nobody can be ranked."""
        with pytest.raises(TooLittle, match="same total"):
            rel.drawn_anew([[1, 0], [0, 1]])

    @given(RIGHT_WRONG)
    def test_of_right_and_wrong_is_formula_21(self, table: np.ndarray) -> None:
        """Whatever the order of each person's items."""
        total, k = table.sum(axis=1), table.shape[1]
        if total.var() == 0:
            with pytest.raises(TooLittle, match="same total"):
                rel.drawn_anew(table)
            return
        assert rel.drawn_anew(np.sort(table, axis=1)) == pytest.approx(rel.kr21(total.mean(), total.var(), k))


class TestErrors:
    def test_at_a_cut(self) -> None:
        """Lord: 20 items at 16 give sqrt(64/19), 40 items at 32 give sqrt(256/39); nothing at the ends."""
        assert rel.error_at(16, 20) == pytest.approx((64 / 19) ** 0.5)
        assert rel.error_at(32, 40) == pytest.approx((256 / 39) ** 0.5)
        assert rel.error_at(0, 20) == rel.error_at(20, 20) == 0

    def test_corrected_changes_nothing_where_formulas_agree(self) -> None:
        """Keats's factor is 1 when reliability equals KR-21."""
        assert rel.error_at_corrected(16, 20, reliability=0.7, formula_21=0.7) == rel.error_at(16, 20)
        assert rel.error_at_corrected(16, 20, reliability=0.8, formula_21=0.7) < rel.error_at(16, 20)

    def test_refuse_what_has_no_meaning(self) -> None:
        """Each sentence says the range."""
        with pytest.raises(TooLittle, match="two items"):
            rel.error_at(1, 1)
        with pytest.raises(TooLittle, match="score"):
            rel.error_at(21, 20)
        with pytest.raises(TooLittle, match="below 1"):
            rel.error_at_corrected(16, 20, reliability=0.8, formula_21=1)
        for deviation, reliability in ((-1, 0.5), (1, 1.1)):
            with pytest.raises(TooLittle, match="deviation"):
                rel.standard_error(deviation, reliability)
        assert rel.standard_error(2, 0.75) == 1


class TestInterval:
    def test_holds_the_value_and_narrows(self) -> None:
        """More people, narrower limits."""
        few, many = (rel.alpha_interval(0.8, people=n, items=20) for n in (30, 200))
        assert few.low < many.low < 0.8 < many.high < few.high

    def test_refuses_one_of_either(self) -> None:
        """Two people and two items are the least, and no level is certain."""
        for people, items in ((1, 5), (5, 1)):
            with pytest.raises(TooLittle, match="two people"):
                rel.alpha_interval(0.8, people=people, items=items)
        with pytest.raises(TooLittle, match="level"):
            rel.alpha_interval(0.8, people=5, items=5, level=1)


class TestLength:
    @given(st.floats(0.05, 0.95), st.floats(0.05, 0.95))
    def test_wanted_reliability_is_reached(self, now: float, wanted: float) -> None:
        """Lengthening by the answer gives what was asked for."""
        assert rel.lengthened(now, rel.length_for(now, wanted)) == pytest.approx(wanted)

    def test_refuses_certainty_and_no_paper(self) -> None:
        """No length makes a paper perfect."""
        for pair in ((0.5, 1), (0, 0.5)):
            with pytest.raises(TooLittle, match="Both"):
                rel.length_for(*pair)
        with pytest.raises(TooLittle, match="positive"):
            rel.lengthened(0.5, 0)
        with pytest.raises(TooLittle, match="reliability"):
            rel.lengthened(1.5, 2)
