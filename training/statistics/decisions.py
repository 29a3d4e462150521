"""Whether a paper would decide the same about the same people again, and how often it decides wrongly.

Sources: Subkoviak (1976), J. Educ. Meas. 13; Huynh (1976), J. Educ. Meas. 13; Livingston and Lewis (1995),
J. Educ. Meas. 32, here with a two-parameter beta distribution of true scores; Peng and Subkoviak (1980), J. Educ.
Meas. 17, for normal scores; Owen (1956), Ann. Math. Stat. 27, for the function behind them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
import scipy
from numpy.typing import ArrayLike

from training.statistics.matrix import Numbers, TooLittle, column, within
from training.statistics.reliability import kr21


@dataclass(frozen=True, slots=True)
class Consistency:
    """Share decided alike by two like papers, the same beyond chance (kappa), and the share who pass; all ratios."""

    consistency: float
    kappa: float
    passing: float


@dataclass(frozen=True, slots=True)
class Classification:
    """How a paper decides: its effective length and cut in marks, its consistency, and shares of right and wrong.

    A false pass is a person below the cut who passed, a false fail one at or above it who did not.
    """

    length: int
    cut: int
    consistency: Consistency
    accuracy: float
    false_pass: float
    false_fail: float


def subkoviak(totals: ArrayLike, k: int, *, cut: int, reliability: float) -> Consistency:
    """Return the consistency of a paper of `k` one-mark items passed at `cut` marks (1 to `k`).

    `totals` in marks, shape (people,); each is drawn towards the mean by `reliability` (0 to 1, KR-20).
    """
    scores = column(totals, least=2)
    _check_cut(cut, k)
    within("The lowest total", float(scores.min()), 0, k)
    within("The highest total", float(scores.max()), 0, k)
    within("The reliability", reliability, 0, 1)
    true = (reliability * scores + (1 - reliability) * scores.mean()) / k
    passes = scipy.stats.binom.sf(cut - 1, k, true)
    return _consistency(float(np.mean(passes**2 + (1 - passes) ** 2)), float(np.mean(passes)))


def huynh(mean: float, variance: float, k: int, *, cut: int) -> Consistency:
    """Return the consistency of a paper of `k` one-mark items passed at `cut` marks, from two moments alone.

    `mean` and `variance` (population) of the totals, in marks. Raises TooLittle where KR-21 is not above 0.
    """
    _check_cut(cut, k)
    reliability = kr21(mean, variance, k)
    _check_reliable(reliability)
    return _two_papers(_Beta.of(mean / k, reliability * variance / k**2), k, cut)


def livingston_lewis(
    mean: float, variance: float, reliability: float, *, cut: float, highest: float, lowest: float = 0.0
) -> Classification:
    """Return how a paper decides, partial marks allowed.

    `mean`, `variance` (population) and `cut` of the totals in marks, which can run from `lowest` to `highest`;
    `reliability` above 0 and below 1. Raises TooLittle outside that, or where the effective length is under one item.
    """
    _check_reliable(reliability)
    if not (lowest < mean < highest and lowest < cut <= highest and variance > 0):
        raise TooLittle("The mean lies inside the range, the cut above its foot, and totals must differ.")
    span = highest - lowest
    length = ((mean - lowest) * (highest - mean) - reliability * variance) / (variance * (1 - reliability))
    whole = round(length)
    if whole < 1:
        raise TooLittle("The totals vary more than a paper can explain: check the range of marks.")
    threshold = (cut - lowest) / span
    # Rounded first: 12.000000000000002 is a cut of 12, not of 13.
    steps = ceil(round(threshold * whole, 9))
    true = _Beta.of((mean - lowest) / span, reliability * variance / span**2)
    pmf, below = true.observed(whole), true.below(threshold, whole)
    false_pass = float((pmf * below)[steps:].sum())
    false_fail = float((pmf * (1 - below))[:steps].sum())
    both = _two_papers(true, whole, steps)
    return Classification(whole, steps, both, 1 - false_pass - false_fail, false_pass, false_fail)


def normal(deviations: float, reliability: float) -> Consistency:
    """Return the consistency of two papers whose scores are normal together and correlate by `reliability` (0 to 1).

    `deviations` is how far the cut lies above the mean, in standard deviations of the scores. A first look from two
    figures alone; with a cut near either end of the marks, prefer the others.
    """
    within("The reliability", reliability, 0, 1)
    failing = float(scipy.special.ndtr(deviations))
    both_fail = failing - 2 * float(scipy.special.owens_t(deviations, sqrt((1 - reliability) / (1 + reliability))))
    return _consistency(1 - 2 * (failing - both_fail), 1 - failing)


@dataclass(frozen=True, slots=True)
class _Beta:
    """A beta distribution of true shares."""

    a: float
    b: float

    @classmethod
    def of(cls, mean: float, variance: float) -> "_Beta":
        """Fit both moments; a reliability under 1 and a length of one item or more keep the size above 0."""
        size = mean * (1 - mean) / variance - 1
        return cls(mean * size, (1 - mean) * size)

    def observed(self, n: int) -> Numbers:
        """Return the chance of each score 0 to n, shape (n + 1,)."""
        x = np.arange(n + 1)
        return np.asarray(
            scipy.special.comb(n, x)
            * np.exp(scipy.special.betaln(x + self.a, n - x + self.b) - scipy.special.betaln(self.a, self.b))
        )

    def below(self, threshold: float, n: int) -> Numbers:
        """Return, for each score 0 to n, the chance that its true share lies below the threshold."""
        x = np.arange(n + 1)
        return np.asarray(scipy.special.betainc(x + self.a, n - x + self.b, threshold))


def _two_papers(true: _Beta, n: int, cut: int) -> Consistency:
    """Return the consistency of two papers of n items that share each person's true share."""
    x = np.arange(n + 1)
    together = x[:, None] + x[None, :]
    weight = np.exp(
        scipy.special.betaln(together + true.a, 2 * n - together + true.b) - scipy.special.betaln(true.a, true.b)
    )
    joint = np.outer(scipy.special.comb(n, x), scipy.special.comb(n, x)) * weight
    alike = joint[:cut, :cut].sum() + joint[cut:, cut:].sum()
    return _consistency(float(alike), float(joint[cut:].sum()))


def _consistency(alike: float, passing: float) -> Consistency:
    by_chance = passing**2 + (1 - passing) ** 2
    kappa = (alike - by_chance) / (1 - by_chance) if by_chance < 1 else float("nan")
    return Consistency(alike, kappa, passing)


def _check_cut(cut: int, k: int) -> None:
    if k < 2 or not 1 <= cut <= k:
        raise TooLittle("A paper has two items or more, and its cut is from one mark to all of them.")


def _check_reliable(reliability: float) -> None:
    if not 0 < reliability < 1:
        raise TooLittle("Decisions can be judged only where reliability lies above 0 and below 1.")


def guess_pass(chances: Sequence[float], cut: int) -> float:
    """Return the chance of at least `cut` right answers by guessing alone.

    `chances` holds each item's chance of a lucky answer (0 to 1): one over the number of options.
    `cut` from 0 to the number of items.
    """
    within("The cut", cut, 0, len(chances))
    exactly = np.ones(1)
    for chance in chances:
        within("A chance", chance, 0, 1)
        exactly = np.convolve(exactly, (1 - chance, chance))
    return float(exactly[cut:].sum())
