"""Mantel and Haenszel's comparison on tables that can be done by hand."""

from math import log, sqrt

import numpy as np
import pytest

from training.statistics.fairness import mantel_haenszel
from training.statistics.matrix import TooLittle

# Reference right and wrong, focal right and wrong, in two bands of score.
BANDS = {1: (6, 4, 3, 7), 2: (9, 1, 6, 4)}


def people(bands: dict[int, tuple[int, int, int, int]]) -> tuple[list[int], list[int], list[int]]:
    """Return answer, score and group of each person of the tables."""
    rows = [
        (right, score, focal)
        for score, counts in bands.items()
        for (focal, right), count in zip(((0, 1), (0, 0), (1, 1), (1, 0)), counts, strict=True)
        for _ in range(count)
    ]
    right, score, focal = map(list, zip(*rows, strict=True))
    return right, score, focal


class TestMantelHaenszel:
    def test_by_hand(self) -> None:
        """Odds (42/20 + 36/20) / (12/20 + 6/20) = 78/18.

        Right in the reference group 15, expected 4.5 + 7.5; variance 100*9*11/(400*19) + 100*15*5/(400*19).
        """
        found = mantel_haenszel(*people(BANDS))
        assert found.odds == pytest.approx(78 / 18)
        assert found.delta == pytest.approx(-2.35 * log(78 / 18))
        assert found.chi_square == pytest.approx(2.5**2 / ((9900 + 7500) / 7600))

    def test_of_groups_alike_is_nothing(self) -> None:
        """The correction for continuity never makes something of nothing."""
        found = mantel_haenszel(*people({1: (5, 5, 5, 5)}))
        assert (found.odds, found.delta, found.chi_square, found.p) == (1, 0, 0, 1)
        assert found.log_error == pytest.approx(sqrt(4 / 5))

    def test_groups_changed_round_change_the_sign_alone(self) -> None:
        """What is harder for one group is easier for the other by as much."""
        right, score, focal = people(BANDS)
        one, other = (mantel_haenszel(right, score, group) for group in (focal, 1 - np.array(focal)))
        assert other.odds == pytest.approx(1 / one.odds)
        assert other.delta == pytest.approx(-one.delta)
        assert (other.chi_square, other.log_error) == (pytest.approx(one.chi_square), pytest.approx(one.log_error))

    def test_a_score_of_one_group_alone_says_nothing(self) -> None:
        """Nobody of the other group can be compared there."""
        alone = {**BANDS, 0: (3, 2, 0, 0), 3: (0, 0, 1, 0)}
        assert mantel_haenszel(*people(alone)) == mantel_haenszel(*people(BANDS))

    def test_order_of_people_does_not_matter(self) -> None:
        """People are counted, not listed."""
        rows = np.array(people(BANDS))
        mixed = rows[:, np.random.default_rng(1).permutation(rows.shape[1])]
        assert mantel_haenszel(*mixed) == mantel_haenszel(*rows)


class TestRefusals:
    def test_lists_that_do_not_fit(self) -> None:
        """One entry a person in each."""
        with pytest.raises(TooLittle, match="an answer, a score and a group"):
            mantel_haenszel([1, 0], [1, 0], [1, 0, 1])

    @pytest.mark.parametrize(("right", "focal"), [([0.5, 1], [0, 1]), ([0, 1], [1, 2])])
    def test_other_entries(self, right: list[float], focal: list[float]) -> None:
        """Right or wrong, focal or not."""
        with pytest.raises(TooLittle, match="groups focal"):
            mantel_haenszel(right, [1, 1], focal)

    @pytest.mark.parametrize("cells", [(5, 0, 3, 2), (0, 5, 3, 2), (2, 3, 0, 0)])
    def test_groups_without_overlap(self, cells: tuple[int, int, int, int]) -> None:
        """Odds of nothing, or over nothing."""
        with pytest.raises(TooLittle, match="do not overlap"):
            mantel_haenszel(*people({1: cells}))
