"""Where to put the cut: judgements of a panel, or grades given beside the marks.

Sources: Angoff (1971) and Ebel (1972), as set out in Cizek and Bunch (2007); Hofstee (1983); Zieky and Livingston
(1977) for the borderline and contrasting groups. A panel's cut is advice to those who answer for the scheme.
"""

from dataclasses import dataclass
from math import ceil, floor, sqrt

import numpy as np
from numpy.typing import ArrayLike

from training.statistics.matrix import Numbers, TooLittle, column, constant, matrix

# Fewer judges than this: the mean hangs on one of them (common practice, no source).
FEWEST_JUDGES = 5


def whole_mark(cut: float) -> int:
    """Return the cut rounded up to a whole mark: nobody passes below what the panel asked for."""
    # Rounded first, so that dust from adding shares does not cost a candidate a whole mark.
    return ceil(round(cut, 9))


@dataclass(frozen=True, slots=True)
class Cut:
    """A panel's cut in marks, its standard error in marks, and the whole mark that passes."""

    marks: float
    error: float
    whole: int


def angoff(judgements: ArrayLike) -> Cut:
    """Return the cut of a panel, shape (judges, items).

    Each entry is the share, 0 to 1, of just-competent persons who would answer the item right. Raises TooLittle for
    fewer than FEWEST_JUDGES judges or an entry outside 0 to 1.
    """
    table = matrix(judgements, rows=FEWEST_JUDGES, columns=1)
    if table.min() < 0 or table.max() > 1:
        raise TooLittle("Each judgement is a share from 0 to 1.")
    sums = table.sum(axis=1)
    marks = float(sums.mean())
    return Cut(marks, float(sums.std(ddof=1)) / sqrt(sums.size), whole_mark(marks))


def ebel(counts: ArrayLike, shares: ArrayLike) -> float:
    """Return the cut in marks from a table of difficulty by relevance, both arguments of one shape (rows, columns).

    `counts` items in each cell, `shares` (0 to 1) of them that a just-competent person gets right.
    """
    numbers, right = matrix(counts, rows=1, columns=1), matrix(shares, rows=1, columns=1)
    if numbers.shape != right.shape or numbers.min() < 0 or right.min() < 0 or right.max() > 1:
        raise TooLittle("Both tables need the same shape, counts not below 0, and shares from 0 to 1.")
    return float((numbers * right).sum())


def hofstee(
    scores: ArrayLike, *, lowest_cut: float, highest_cut: float, fewest_failing: float, most_failing: float
) -> int:
    """Return the whole-number cut that best meets what the panel can accept.

    `scores` in marks, shape (people,); the two cuts in marks; the two failing shares from 0 to 1. It is the cut whose
    failing share is nearest the line from (lowest cut, most failing) to (highest cut, fewest failing). Raises
    TooLittle where the scores stay outside the panel's box: the judges meet again.
    """
    marks = column(scores)
    if not (lowest_cut < highest_cut and 0 <= fewest_failing < most_failing <= 1):
        raise TooLittle("The lowest values of the panel must lie below its highest.")
    failing = {cut: float((marks < cut).mean()) for cut in range(ceil(lowest_cut), floor(highest_cut) + 1)}
    # The share that fails only grows with the cut, so its ends tell whether it enters the box.
    if not failing or min(failing.values()) > most_failing or max(failing.values()) < fewest_failing:
        raise TooLittle("The scores stay outside what the panel accepts: let the judges meet again.")
    slope = (fewest_failing - most_failing) / (highest_cut - lowest_cut)
    return min(failing, key=lambda cut: (abs(failing[cut] - most_failing - slope * (cut - lowest_cut)), cut))


def borderline_group(scores: ArrayLike) -> float:
    """Return the median score, in marks, of the people graded borderline, shape (people,), at least one."""
    return float(np.median(column(scores)))


def borderline_regression(scores: ArrayLike, grades: ArrayLike, *, borderline: float) -> float:
    """Return the score, in marks, that a straight line through all scores predicts at the borderline grade.

    `scores` and `grades` (numbers on one scale) of the same people, shape (people,). Raises TooLittle where they
    differ in length or only one grade was given.
    """
    marks, given = column(scores, least=2), column(grades, least=2)
    if marks.shape != given.shape:
        raise TooLittle("Each score needs its grade.")
    if constant(given):
        raise TooLittle("A line needs people of at least two grades.")
    centred = given - given.mean()
    slope = float(centred @ marks / (centred @ centred))
    return float(marks.mean() + slope * (borderline - given.mean()))


def contrasting_groups(competent: ArrayLike, not_yet: ArrayLike) -> int:
    """Return the whole-number cut, in marks, that puts the fewest people on the wrong side; the lowest of equals.

    Scores of those judged competent and of those judged not yet so, each of shape (people,), at least one.
    """
    able, unable = column(competent), column(not_yet)
    everyone = np.concatenate([able, unable])
    cuts = range(int(np.floor(everyone.min())), int(np.ceil(everyone.max())) + 2)
    return min(cuts, key=lambda cut: (_wrong(able, unable, cut), cut))


def _wrong(able: Numbers, unable: Numbers, cut: int) -> int:
    return int((able < cut).sum() + (unable >= cut).sum())
