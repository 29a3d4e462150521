"""Figures from blocks against the same figures from the whole table."""

import tracemalloc

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from training.statistics import items
from training.statistics import reliability as rel
from training.statistics.matrix import TooLittle
from training.statistics.stream import Responses

SHARES = st.sampled_from([0.0, 0.1, 0.25, 1 / 3, 0.5, 0.9, 1.0])
TABLES = arrays.arrays(np.float64, st.tuples(st.integers(2, 40), st.integers(2, 8)), elements=SHARES)


def met(table: np.ndarray, *, cuts: tuple[int, ...] = (), maximum: float = 1.0) -> Responses:
    """Return the responses of a table cut before the rows named."""
    found = Responses(table.shape[1], maximum=maximum)
    for block in np.split(table, cuts):
        found.add(block)
    return found


class TestAgainstTheWholeTable:
    @given(TABLES, st.data())
    def test_any_cut_gives_the_same_figures(self, table: np.ndarray, data: st.DataObject) -> None:
        """Part marks and constants included, wherever the blocks end."""
        cut = data.draw(st.integers(1, len(table) - 1))
        found, total = met(table, cuts=(cut,)), table.sum(axis=1)
        assert found.people == len(table)
        assert found.facility() == pytest.approx(items.facility(table))
        assert found.item_rest() == pytest.approx(items.item_rest(table), abs=1e-9, nan_ok=True)
        assert found.mean() == pytest.approx(total.mean())
        assert found.variance() == pytest.approx(total.var(), rel=1e-9, abs=1e-12)
        assert sum(found.distribution()) == len(table)
        if np.ptp(total) < 1e-9:
            with pytest.raises(TooLittle, match="same total"):
                found.alpha()
        else:
            formula_21 = rel.kr21(total.mean(), total.var(), table.shape[1])
            assert found.alpha() == pytest.approx(rel.alpha(table), rel=1e-9, abs=1e-9)
            assert found.kr21() == pytest.approx(formula_21, rel=1e-9, abs=1e-9)

    def test_of_right_and_wrong_is_formula_20(self) -> None:
        """Three hundred people of seven items, in blocks of one and of many."""
        table = (np.random.default_rng(3).random((300, 7)) < np.linspace(0.3, 0.9, 7)).astype(float)
        assert met(table, cuts=(1, 2, 250)).alpha() == pytest.approx(rel.kr20(table))

    def test_of_items_worth_more_than_a_mark(self) -> None:
        """Formula 21 does not care whether an item is worth one mark or four."""
        table = (np.random.default_rng(4).random((50, 5)) < 0.6).astype(float)
        one, four = met(table), met(4 * table, maximum=4)
        assert four.facility() == pytest.approx(one.facility())
        assert four.kr21() == pytest.approx(one.kr21())
        assert (len(one.distribution()), len(four.distribution())) == (6, 21)
        assert four.distribution()[::4] == one.distribution()


class TestDistribution:
    def test_counts_part_marks_for_the_mark_below(self) -> None:
        """One and a half marks are one whole mark; ten shares of a tenth are one, whatever the dust."""
        assert met(np.array([[1, 0.5], [1, 1], [0, 0.9], [0, 0]])).distribution() == (2, 1, 1)
        assert met(np.full((1, 10), 0.1)).distribution()[:2] == (0, 1)

    def test_is_empty_at_first(self) -> None:
        """Nobody has any mark."""
        assert Responses(3).distribution() == (0, 0, 0, 0)


class TestMemory:
    def test_does_not_grow_with_the_people(self) -> None:
        """A hundred blocks hold no more than ten."""

        def peak(blocks: int) -> int:
            found, block = Responses(40), np.ones((500, 40))
            tracemalloc.start()
            for _ in range(blocks):
                found.add(block)
            most = tracemalloc.get_traced_memory()[1]
            tracemalloc.stop()
            return most

        peak(2)
        assert peak(100) < 1.1 * peak(10)


class TestRefusals:
    @pytest.mark.parametrize(("count", "maximum"), [(1, 1.0), (2, 0.0), (2, float("inf")), (2, float("nan"))])
    def test_no_paper(self, count: int, maximum: float) -> None:
        """Two items, each worth something."""
        with pytest.raises(TooLittle, match="two items"):
            Responses(count, maximum=maximum)

    @pytest.mark.parametrize(
        ("block", "sentence"),
        [
            ([[1, 0, 1]], "needs 2 scores"),
            ([[1, 1.5]], "0 to 1"),
            ([[1, -1]], "0 to 1"),
            ([[1, np.nan]], "leave out"),
            ([], "at least 1 rows"),
        ],
    )
    def test_a_block_that_does_not_fit_changes_nothing(self, block: list[list[float]], sentence: str) -> None:
        """The people before it are kept as they were."""
        found = met(np.array([[1.0, 0.0]]))
        with pytest.raises(TooLittle, match=sentence):
            found.add(block)
        assert (found.people, found.distribution()) == (1, (0, 1, 0))

    def test_too_few_people(self) -> None:
        """A facility needs one, a variance two."""
        with pytest.raises(TooLittle, match="0 people so far; at least 1"):
            Responses(2).facility()
        alone = met(np.array([[1.0, 0.0]]))
        assert alone.facility().tolist() == [1, 0]
        with pytest.raises(TooLittle, match="at least 2"):
            alone.alpha()
