"""Cuts of a panel, worked by hand."""

import pytest

from training.statistics import setting
from training.statistics.matrix import TooLittle

PANEL = [[0.6, 0.8, 0.7], [0.5, 0.9, 0.8], [0.7, 0.7, 0.7], [0.6, 0.6, 0.9], [0.8, 0.8, 0.8]]


class TestAngoff:
    def test_is_the_mean_of_sums(self) -> None:
        """Sums 2.1 2.2 2.1 2.1 2.4: mean 10.9/5, squares 0.068 over four, error sqrt(0.017/5), cut 3."""
        found = setting.angoff(PANEL)
        assert found.marks == pytest.approx(2.18)
        assert found.error == pytest.approx((0.068 / 4 / 5) ** 0.5)
        assert found.whole == 3

    def test_dust_costs_nobody_a_mark(self) -> None:
        """Thirty shares of 0.1 add up to three marks, not to four."""
        assert setting.angoff([[0.1] * 30] * 5).whole == 3

    def test_refuses_a_small_panel_or_a_share_above_one(self) -> None:
        """Five judges, shares from 0 to 1."""
        with pytest.raises(TooLittle, match="5 rows"):
            setting.angoff(PANEL[:4])
        for wrong in (1.1, -0.1):
            with pytest.raises(TooLittle, match="share"):
                setting.angoff([*PANEL, [wrong, 0.5, 0.5]])


class TestEbel:
    def test_adds_up_the_cells(self) -> None:
        """10 x 0.9 + 4 x 0.7 + 6 x 0.8 + 5 x 0.5 = 19.1."""
        assert setting.ebel([[10, 4], [6, 5]], [[0.9, 0.7], [0.8, 0.5]]) == pytest.approx(19.1)

    def test_of_twenty_items(self) -> None:
        """6 x .9 + 5 x .8 + 4 x .7 + 3 x .65 + 2 x .6 = 15.35, so 16 marks pass; an empty cell adds nothing."""
        found = setting.ebel([[6, 5, 4], [3, 2, 0]], [[0.9, 0.8, 0.7], [0.65, 0.6, 0.5]])
        assert found == pytest.approx(15.35)
        assert setting.whole_mark(found) == 16

    @pytest.mark.parametrize(
        ("counts", "shares"), [([[1]], [[1, 1]]), ([[-1]], [[1]]), ([[1]], [[2]]), ([[1]], [[-1]])]
    )
    def test_refuses_tables_that_do_not_fit(self, counts: list[list[int]], shares: list[list[float]]) -> None:
        """One shape, counts and shares in range."""
        with pytest.raises(TooLittle, match="Both tables"):
            setting.ebel(counts, shares)


class TestHofstee:
    SCORES = (8, 9, 10, 11, 12, 12, 13, 14, 15, 16)

    def test_meets_the_line(self) -> None:
        """Line from (10, .6) to (14, .2); failing .2 .3 .4 .6 .7 at 10 to 14 misses it by .4 .2 0 .3 .5: cut 12."""
        assert setting.hofstee(self.SCORES, lowest_cut=10, highest_cut=14, fewest_failing=0.2, most_failing=0.6) == 12

    def test_crosses_the_line(self) -> None:
        """Of 20 people .10 .15 .25 .35 .45 .60 .70 fail at 10 to 16; the line from (10, .5) to (16, .2) meets 13."""
        scores = [8, 9, 10, 11, 11, 12, 12, 13, 13, 14, 14, 14, 15, 15, 16, 16, 17, 18, 19, 20]
        assert setting.hofstee(scores, lowest_cut=10, highest_cut=16, fewest_failing=0.2, most_failing=0.5) == 13

    @pytest.mark.parametrize(
        "box",
        [(15.2, 15.8, 0.1, 0.5), (14, 16, 0.0, 0.3), (5, 9, 0.3, 0.5)],
        ids=["no whole mark", "too many fail", "too few fail"],
    )
    def test_sends_the_judges_back(self, box: tuple[float, float, float, float]) -> None:
        """Outside the box there is no compromise."""
        with pytest.raises(TooLittle, match="meet again"):
            setting.hofstee(
                self.SCORES, lowest_cut=box[0], highest_cut=box[1], fewest_failing=box[2], most_failing=box[3]
            )

    def test_refuses_a_box_inside_out(self) -> None:
        """Lowest below highest."""
        for cuts in ((14, 10, 0.1, 0.5), (10, 14, 0.5, 0.5)):
            with pytest.raises(TooLittle, match="must lie below"):
                setting.hofstee(
                    self.SCORES, lowest_cut=cuts[0], highest_cut=cuts[1], fewest_failing=cuts[2], most_failing=cuts[3]
                )


class TestGroups:
    def test_borderline_is_the_median(self) -> None:
        """Half of the borderline people lie above."""
        assert setting.borderline_group([11, 15, 12, 13]) == 12.5

    def test_regression_reads_the_line(self) -> None:
        """Marks 10, 12, 14 at grades 1, 2, 3 give 11 at 1.5."""
        assert setting.borderline_regression([10, 12, 14], [1, 2, 3], borderline=1.5) == pytest.approx(11)

    def test_regression_refuses_one_grade_or_a_gap(self) -> None:
        """A line needs two grades, and a grade a score."""
        with pytest.raises(TooLittle, match="two grades"):
            setting.borderline_regression([10, 12], [1, 1], borderline=1)
        with pytest.raises(TooLittle, match="its grade"):
            setting.borderline_regression([10, 12, 13], [1, 2], borderline=1)

    def test_contrasting_misplaces_the_fewest(self) -> None:
        """Of 12 13 15 16 against 8 9 11 12: cut 12 passes one wrongly, cut 13 fails one wrongly: the lower wins."""
        assert setting.contrasting_groups([12, 13, 15, 16], [8, 9, 11, 12]) == 12
        assert setting.contrasting_groups([13, 15, 16], [8, 9, 11, 12]) == 13
        assert setting.contrasting_groups([5], [5]) == 5
