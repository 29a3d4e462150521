"""How far a paper would rank the same people alike again, and how far a score may be off.

Scores are tables of shape (people, items). Sources: Kuder and Richardson (1937), Psychometrika 2;
Cronbach (1951), Psychometrika 16; Feldt (1965), Psychometrika 30; Lord (1955, 1957) and Keats (1957) for the error
at one score; Spearman (1910) and Brown (1910) for a longer paper.
"""

from math import sqrt

import numpy as np
import scipy
from numpy.typing import ArrayLike

from training.statistics.intervals import Limits, quantile
from training.statistics.matrix import Numbers, TooLittle, column, constant, matrix, within

SAME_TOTAL = "Everyone has the same total, so reliability cannot be told."


def alpha(scores: ArrayLike) -> float:
    """Return Cronbach's alpha, at most 1; it may be negative.

    Raises TooLittle for fewer than two people or items, or when all totals are the same.
    """
    table = matrix(scores)
    total = table.sum(axis=1)
    if constant(total):
        raise TooLittle(SAME_TOTAL)
    return alpha_of(table.var(axis=0), float(total.var()))


def alpha_of(variances: ArrayLike, total: float) -> float:
    """Return alpha from the variance of each item, shape (items,), and that of the totals, above 0, in marks squared.

    Both of a sample or both of the population. Raises TooLittle for fewer than two items, or totals all the same.
    """
    each = column(variances, least=2)
    if not total > 0:
        raise TooLittle(SAME_TOTAL)
    return float(each.size / (each.size - 1) * (1 - each.sum() / total))


def alpha_with_gaps(scores: ArrayLike) -> float:
    """Return alpha where people lack some scores, nan in `scores` (people, items).

    Each covariance is that of the people who have both items, as their sample's. Raises TooLittle where a pair of
    items has fewer than two such people, or where the covariances add up to nothing.
    """
    table = np.asarray(scores, dtype=np.float64)
    has = np.isfinite(table)
    held = has.T.astype(np.float64) @ has if table.ndim == 2 else np.zeros(1)
    if held.min(initial=2) < 2:
        raise TooLittle("Each pair of items needs two people or more who have a score for both.")
    # Measured from each item's own mean, so that large marks lose no figures.
    means = table.sum(axis=0, where=has) / np.diag(held)
    off = np.where(has, table - means, 0.0)
    sums = off.T @ has
    covariance = (off.T @ off - sums * sums.T / held) / (held - 1)
    return alpha_of(np.diag(covariance), float(covariance.sum()))


def kr20(scores: ArrayLike) -> float:
    """Return Kuder and Richardson's formula 20: alpha where every item is right (1) or wrong (0).

    Raises TooLittle for any other score.
    """
    table = matrix(scores)
    if not np.isin(table, (0.0, 1.0)).all():
        raise TooLittle("Formula 20 wants right (1) or wrong (0); use alpha where part of a mark can be earned.")
    return alpha(table)


def kr21(mean: float, variance: float, k: int) -> float:
    """Return Kuder and Richardson's formula 21, which takes the items as equally hard.

    `mean` of the totals in marks from 0 to `k`; `variance` of the totals in marks squared (population), above 0;
    `k` items of one mark, at least 2.
    """
    if k < 2 or variance <= 0:
        raise TooLittle("Formula 21 needs two items or more and totals that differ.")
    within("The mean", mean, 0, k)
    return k / (k - 1) * (1 - mean * (k - mean) / (k * variance))


def drawn_anew(scores: ArrayLike) -> float:
    """Return the reliability, at most 1, of a paper whose items are drawn anew for each person.

    `scores` (people, items) in any order of the items. Each person's error comes from their own items, as if these
    were a plain sample; where every item is right or wrong this is formula 21. A paper that keeps to a blueprint does
    better, so it is a floor. Raises TooLittle when all totals are the same. Source: Lord (1955), Educ. Psychol.
    Meas. 15.
    """
    table = matrix(scores)
    total = table.sum(axis=1)
    if constant(total):
        raise TooLittle(SAME_TOTAL)
    return float(1 - table.shape[1] * table.var(axis=1, ddof=1).mean() / total.var())


def alpha_interval(value: float, *, people: int, items: int, level: float = 0.95) -> Limits:
    """Return Feldt's limits of an alpha found from so many people and items, both at least 2."""
    if people < 2 or items < 2:
        raise TooLittle("The limits of alpha need two people and two items or more.")
    quantile(level)  # refuses a level outside its range
    degrees = (people - 1, (people - 1) * (items - 1))
    tail = (1 - level) / 2
    low, high = (1 - (1 - value) * float(scipy.stats.f.ppf(p, *degrees)) for p in (1 - tail, tail))
    return Limits(low, high)


def alpha_without(scores: ArrayLike) -> Numbers:
    """Return the alpha of the other items for each item left out, shape (items,). At least three items."""
    table = matrix(scores, columns=3)
    return np.array([alpha(np.delete(table, item, axis=1)) for item in range(table.shape[1])])


def standard_error(deviation: float, reliability: float) -> float:
    """Return the standard error of measurement, in the unit of `deviation` (of the totals, not below 0).

    `reliability` at most 1; below 0 it is taken as it is, and the error exceeds the deviation.
    """
    if deviation < 0 or reliability > 1:
        raise TooLittle("A deviation is not below 0 and a reliability not above 1.")
    return deviation * sqrt(1 - reliability)


def error_at(score: float, k: int) -> float:
    """Return Lord's standard error, in marks, of a score on a paper of `k` one-mark items, at least 2."""
    if k < 2:
        raise TooLittle("The error at a score needs two items or more.")
    within("The score", score, 0, k)
    return sqrt(score * (k - score) / (k - 1))


def error_at_corrected(score: float, k: int, *, reliability: float, formula_21: float) -> float:
    """Return Lord's error with Keats's factor, in marks, so that its mean square agrees with `reliability`.

    `reliability` at most 1, `formula_21` (KR-21 of the same paper) below 1.
    """
    if reliability > 1 or formula_21 >= 1:
        raise TooLittle("Reliability is at most 1, and formula 21 below 1.")
    return error_at(score, k) * sqrt((1 - reliability) / (1 - formula_21))


def lengthened(reliability: float, times: float) -> float:
    """Return Spearman and Brown's reliability of a paper made `times` as long (above 0) with items alike."""
    if times <= 0:
        raise TooLittle("A paper can only be made some positive number of times as long.")
    within("The reliability", reliability, 0, 1)
    return times * reliability / (1 + (times - 1) * reliability)


def length_for(reliability: float, wanted: float) -> float:
    """Return how many times as long a paper must be for a wanted reliability; both above 0 and below 1."""
    if not (0 < reliability < 1 and 0 < wanted < 1):
        raise TooLittle("Both reliabilities lie between 0 and 1.")
    return wanted * (1 - reliability) / (reliability * (1 - wanted))
