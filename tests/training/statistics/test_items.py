"""Item statistics on cases that can be counted by hand."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.statistics import items
from training.statistics.matrix import TooLittle, column, matrix, within

FOUR = [[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]]


class TestMatrix:
    @pytest.mark.parametrize("values", [[1, 2], [[1, 2]], [[1], [2]]])
    def test_refuses_another_shape(self, values: list[float]) -> None:
        """A sentence says which shape is wanted."""
        with pytest.raises(TooLittle, match="at least 2 rows and 2 columns"):
            matrix(values)

    def test_refuses_a_gap(self) -> None:
        """A missing score is never taken as nothing."""
        with pytest.raises(TooLittle, match="leave out"):
            matrix([[1, 2], [np.nan, 1]])

    def test_column_refuses_shape_and_gap(self) -> None:
        """A list has one dimension and no gap."""
        with pytest.raises(TooLittle, match="at least 1"):
            column([[1.0]])
        with pytest.raises(TooLittle, match="gaps"):
            column([np.inf])

    def test_within_names_the_range(self) -> None:
        """The sentence names what is out of range, and the range."""
        assert within("A share", 1, 0, 1) == 1
        with pytest.raises(TooLittle, match=r"A share must lie from 0 to 1; 1\.5 does not"):
            within("A share", 1.5, 0, 1)


class TestFacility:
    def test_is_the_mean_share(self) -> None:
        """Marks are divided by what the item can earn."""
        assert items.facility([[2, 0], [1, 0]], maximum=2).tolist() == [0.75, 0]


class TestCorrelation:
    def test_of_a_constant_is_not_a_number(self) -> None:
        """Nothing can be said of an item that everyone got right."""
        assert np.isnan(items.correlation([0.1, 0.1, 0.1], [1, 2, 3]))
        assert np.isnan(items.correlation([1, 2, 3], [5, 5, 5]))

    def test_of_part_marks_that_add_up_to_the_same_is_not_a_number(self) -> None:
        """0.1 + 0.2 + 0.3 is not 0.3 + 0.2 + 0.1 in the last figure; that is no difference between people."""
        assert 0.1 + 0.2 + 0.3 != 0.3 + 0.2 + 0.1
        found = items.item_rest([[1, 0.1, 0.2, 0.3], [0, 0.3, 0.2, 0.1]])
        assert np.isnan(found[0])

    def test_needs_pairs(self) -> None:
        """Two lists of different length are refused."""
        with pytest.raises(TooLittle, match="one entry for each person"):
            items.correlation([1, 2], [1, 2, 3])

    def test_total_flatters_where_rest_does_not(self) -> None:
        """The total holds the item itself."""
        assert (items.item_total(FOUR) > items.item_rest(FOUR)).all()


class TestUpperLower:
    def test_of_whole_halves(self) -> None:
        """With halves of four people the groups are the first two and the last two."""
        assert items.upper_lower(FOUR, share=0.5).tolist() == [0.5, 1, 0.5]

    def test_shares_ties_by_weight(self) -> None:
        """Three people tied for two places enter with two thirds each."""
        table = [[1, 1], [1, 0], [1, 0], [0, 1], [0, 0], [0, 0]]
        assert items.upper_lower(table, share=0.5) == pytest.approx(
            [(1 + 2 * 2 / 3 - 1 / 3 * 2) / 3, (1 + 2 / 3 - 1 / 3) / 3]
        )

    @given(st.permutations(range(9)))
    def test_order_of_rows_does_not_matter(self, order: list[int]) -> None:
        """The same people in another order give the same figures."""
        table = np.array(
            [[1, 0, 1], [1, 0, 0], [0, 1, 1], [1, 1, 1], [0, 0, 0], [0, 1, 0], [1, 1, 0], [0, 0, 1], [1, 0, 1]]
        )
        assert items.upper_lower(table[order]) == pytest.approx(items.upper_lower(table), abs=1e-12)

    @pytest.mark.parametrize("share", [0, 0.6])
    def test_refuses_groups_that_overlap_or_are_empty(self, share: float) -> None:
        """Each group holds at most half."""
        with pytest.raises(TooLittle, match="at most half"):
            items.upper_lower(FOUR, share=share)


class TestOptions:
    ROWS = items.option_table(["a", "b", "b", "c", ""], [4, 5, 6, 1, 2], options="abcd", right="a")

    def test_counts_each_option(self) -> None:
        """An option nobody chose has its row too; no answer counts for the share only."""
        assert [(row.option, row.right, row.count, row.share) for row in self.ROWS] == [
            ("a", True, 1, 0.2),
            ("b", False, 2, 0.4),
            ("c", False, 1, 0.2),
            ("d", False, 0, 0.0),
        ]

    def test_tells_who_chose_it(self) -> None:
        """b was chosen by those with 5 and 6 marks on the rest, d by nobody."""
        assert [row.mean for row in self.ROWS[:3]] == [4, 5.5, 1]
        assert np.isnan(self.ROWS[3].mean)

    def test_names_options_nobody_takes(self) -> None:
        """A wrong option below the share does no work."""
        assert items.dead_options(self.ROWS) == ("d",)

    def test_names_an_option_better_than_the_key(self) -> None:
        """The able chose b, so the key deserves a look."""
        assert items.better_than_key(self.ROWS) == ("b",)
        assert items.better_than_key([]) == ()

    def test_refuses_a_key_that_is_no_option(self) -> None:
        """The right answer is among the options."""
        with pytest.raises(TooLittle, match="one of the options"):
            items.option_table(["a", "b"], [1, 2], options="ab", right="c")


class TestOptionCurves:
    def test_follow_the_score(self) -> None:
        """Of six people in three bands the lowest two chose b, the highest two a."""
        found = items.option_curves("bbacaa", [1, 2, 3, 4, 5, 6], options="abc", bands=3)
        assert [(band.low, band.high, band.people, band.shares) for band in found] == [
            (1, 2, 2, (0.0, 1.0, 0.0)),
            (3, 4, 2, (0.5, 0.0, 0.5)),
            (5, 6, 2, (1.0, 0.0, 0.0)),
        ]

    def test_put_people_at_an_edge_below_it(self) -> None:
        """The middle of 1 2 2 3 is 2: three people below, one above."""
        assert [band.people for band in items.option_curves("aabb", [1, 2, 2, 3], options="ab", bands=2)] == [3, 1]

    @given(st.lists(st.tuples(st.sampled_from("abc "), st.integers(0, 6)), min_size=1, max_size=40), st.integers(1, 7))
    def test_leave_nobody_out_and_part_no_tie(self, people: list[tuple[str, int]], bands: int) -> None:
        """Everyone is in one band, and bands do not overlap."""
        found = items.option_curves(
            [choice for choice, _ in people], [score for _, score in people], options="abc", bands=bands
        )
        assert 1 <= len(found) <= bands
        assert sum(band.people for band in found) == len(people)
        assert all(one.low <= one.high < other.low for one, other in itertools.pairwise(found))
        took = sum(band.people * sum(band.shares) for band in found)
        assert took == pytest.approx(sum(choice != " " for choice, _ in people))

    @pytest.mark.parametrize(("chosen", "bands"), [("ab", 1), ("abc", 0)])
    def test_refuse_lists_that_do_not_fit(self, chosen: str, bands: int) -> None:
        """A choice and a score each, and at least one band."""
        with pytest.raises(TooLittle, match="a choice and a score"):
            items.option_curves(chosen, [1, 2, 3], options="abc", bands=bands)
