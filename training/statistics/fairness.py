"""Whether an item is harder for one group than for people of another group who know as much.

Sources: Mantel and Haenszel (1959), J. Natl. Cancer Inst. 22; Robins, Breslow and Greenland (1986), Biometrics 42,
for the standard error; Holland and Thayer (1988), in Wainer and Braun, Test Validity, for delta. A difference asks
for a look at the item; it does not say why it is there.
"""

from dataclasses import dataclass
from math import erfc, log, sqrt

import numpy as np
from numpy.typing import ArrayLike

from training.statistics.matrix import Numbers, TooLittle, column

# Delta spreads by 4 where a normal scale spreads by 1, and a logistic unit is 1/1.7 of a normal one: 4 / 1.7.
DELTA_PER_LOG_ODDS = -2.35


@dataclass(frozen=True, slots=True)
class Difference:
    """How an item differs between groups of equal score; all plain numbers.

    `odds` is the odds of a right answer in the reference group over those in the focal group; `delta` below 0 says
    that the item is harder for the focal group. `log_error` is the standard error of ln odds. `chi_square` has one
    degree of freedom and is corrected for continuity; `p` is its tail, from 0 to 1.
    """

    odds: float
    log_error: float
    delta: float
    chi_square: float
    p: float


def mantel_haenszel(right: ArrayLike, score: ArrayLike, focal: ArrayLike) -> Difference:
    """Compare an item between two groups, score by score.

    `right` (1 or 0), `score` (the total with the item in it, or a band of it) and `focal` (1 or 0) of each person, all
    of shape (people,). A difference is known from about 100 people a group; fewer are for the caller to refuse.
    Raises TooLittle for lists of different length, other entries, or groups that no score lets compare.
    """
    answers, scores, group = column(right, least=2), column(score, least=2), column(focal, least=2)
    if not answers.shape == scores.shape == group.shape:
        raise TooLittle("Each person needs an answer, a score and a group.")
    if not (np.isin(answers, (0.0, 1.0)).all() and np.isin(group, (0.0, 1.0)).all()):
        raise TooLittle("Answers are right (1) or wrong (0), groups focal (1) or not (0).")
    _scores, stratum = np.unique(scores, return_inverse=True)
    counts = np.bincount(stratum * 4 + (group * 2 + 1 - answers).astype(np.intp), minlength=4 * (stratum.max() + 1))
    # Reference right and wrong, focal right and wrong: a row each, a stratum a column.
    return _compared(counts.reshape(-1, 4).T.astype(np.float64))


def _compared(cells: Numbers) -> Difference:
    cells = cells[:, (cells[0] + cells[1]) * (cells[2] + cells[3]) > 0]
    a, b, c, d = cells
    n = a + b + c + d
    ahead, behind = a * d / n, b * c / n
    up, down = float(ahead.sum()), float(behind.sum())
    if up == 0 or down == 0:
        raise TooLittle("At equal scores the groups do not overlap enough to be compared.")
    odds = up / down
    variance = ((a + b) * (c + d) * (a + c) * (b + d) / (n**2 * (n - 1))).sum()
    surplus = abs(float((a - (a + b) * (a + c) / n).sum()))
    chi_square = max(surplus - 0.5, 0.0) ** 2 / float(variance)
    return Difference(odds, _log_error(cells), DELTA_PER_LOG_ODDS * log(odds), chi_square, erfc(sqrt(chi_square / 2)))


def _log_error(cells: Numbers) -> float:
    a, b, c, d = cells
    n = a + b + c + d
    ahead, behind, same, other = a * d / n, b * c / n, (a + d) / n, (b + c) / n
    up, down = ahead.sum(), behind.sum()
    variance = (same * ahead).sum() / up**2 + (other * behind).sum() / down**2
    variance += (same * behind + other * ahead).sum() / (up * down)
    return sqrt(float(variance) / 2)
