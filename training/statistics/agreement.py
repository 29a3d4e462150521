"""How far two assessors agree, beyond what chance would give.

Sources: Cohen (1960), Educ. Psychol. Meas. 20, and (1968), Psychol. Bull. 70; Fleiss, Cohen and Everitt (1969),
Psychol. Bull. 72, for the standard error; Byrt, Bishop and Carlin (1993), J. Clin. Epidemiol. 46, for kappa adjusted
for prevalence and bias; Shrout and Fleiss (1979), Psychol. Bull. 86, for the correlations within classes.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from training.statistics.matrix import Numbers, TooLittle, constant, matrix


@dataclass(frozen=True, slots=True)
class Agreement:
    """Kappa with its standard error, the share agreed, and the share chance would give; all ratios."""

    kappa: float
    error: float
    observed: float
    expected: float


def steps_apart(k: int) -> Numbers:
    """Return the weights that count a disagreement by how many of `k` grades lie between, shape (k, k)."""
    grade = np.arange(k, dtype=np.float64)
    return np.asarray(np.abs(grade[:, None] - grade[None, :]))


def kappa(table: ArrayLike, disagreement: ArrayLike | None = None) -> Agreement:
    """Return Cohen's kappa of a table of counts, shape (k, k): one assessor's grade a row, the other's a column.

    `disagreement`, shape (k, k), says how grave each cell is, 0 where both agree; left out, every disagreement
    weighs the same. Raises TooLittle for another shape, an empty table, a negative entry, or a table in which chance
    alone explains everything (both always gave the same one grade).
    """
    shares = _shares(table)
    k = shares.shape[0]
    grave = 1 - np.eye(k) if disagreement is None else matrix(disagreement)
    if grave.shape != shares.shape or (grave < 0).any() or np.diag(grave).any() or not grave.any():
        raise TooLittle("The weights need the shape of the table, nothing below 0, and 0 for agreement.")
    weight = 1 - grave / grave.max()
    rows, columns = shares.sum(axis=1), shares.sum(axis=0)
    observed = float((weight * shares).sum())
    expected = float(rows @ weight @ columns)
    # A small allowance: shares that add up to 1 do so only within rounding.
    if expected > 1 - 1e-12:
        raise TooLittle("Both assessors always gave the same grade, so chance explains everything.")
    value = (observed - expected) / (1 - expected)
    spread = (weight @ columns)[:, None] + (rows @ weight)[None, :]
    second = (shares * (weight - spread * (1 - value)) ** 2).sum()
    variance = (second - (value - expected * (1 - value)) ** 2) / (float(np.sum(table)) * (1 - expected) ** 2)
    # Perfect agreement leaves nothing but rounding, which may fall below 0.
    return Agreement(value, float(np.sqrt(max(variance, 0.0))), observed, expected)


def pabak(table: ArrayLike) -> float:
    """Return kappa as if every grade were equally common, from -1 / (k - 1) to 1, of a table of counts (k, k)."""
    shares = _shares(table)
    k = shares.shape[0]
    return float((k * np.trace(shares) - 1) / (k - 1))


def _shares(table: ArrayLike) -> Numbers:
    counts = matrix(table)
    if counts.shape[0] != counts.shape[1] or (counts < 0).any() or not counts.any():
        raise TooLittle("A square table of counts is needed, with at least one case and nothing below 0.")
    return np.asarray(counts / counts.sum())


@dataclass(frozen=True, slots=True)
class WithinClass:
    """The six correlations of Shrout and Fleiss, named by their model and by how many ratings are averaged.

    Model 1: each test piece has its own assessors. 2: the same assessors, a sample of all. 3: these assessors alone.
    """

    one_single: float
    two_single: float
    three_single: float
    one_mean: float
    two_mean: float
    three_mean: float


def within_class(ratings: ArrayLike) -> WithinClass:
    """Return the correlations within classes of a full table of ratings, shape (test pieces, assessors).

    Raises TooLittle for fewer than two of either, a gap, or ratings that never differ between test pieces.
    """
    table = matrix(ratings)
    n, k = table.shape
    grand = table.mean()
    between = k * ((table.mean(axis=1) - grand) ** 2).sum() / (n - 1)
    if constant(table.sum(axis=1)):
        raise TooLittle("Every test piece has the same mean rating, so nothing tells them apart.")
    assessors = n * ((table.mean(axis=0) - grand) ** 2).sum() / (k - 1)
    within = ((table - table.mean(axis=1, keepdims=True)) ** 2).sum() / (n * (k - 1))
    rest = (within * n * (k - 1) - assessors * (k - 1)) / ((n - 1) * (k - 1))
    drift = (assessors - rest) / n
    return WithinClass(
        one_single=float((between - within) / (between + (k - 1) * within)),
        two_single=float((between - rest) / (between + (k - 1) * rest + k * drift)),
        three_single=float((between - rest) / (between + (k - 1) * rest)),
        one_mean=float((between - within) / between),
        two_mean=float((between - rest) / (between + drift)),
        three_mean=float((between - rest) / between),
    )
