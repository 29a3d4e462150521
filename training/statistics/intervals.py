"""Limits within which a share or a correlation lies.

Sources: Wilson (1927), J. Am. Stat. Assoc. 22; Newcombe (1998), Statistics in Medicine 17, method 3;
Fisher (1921), Metron 1, for the transformation of a correlation.
"""

from dataclasses import dataclass
from math import atanh, sqrt, tanh

import scipy

from training.statistics.matrix import TooLittle, within


@dataclass(frozen=True, slots=True)
class Limits:
    """The two ends of an interval, in the unit of what it bounds."""

    low: float
    high: float


def quantile(level: float) -> float:
    """Return how many standard deviations a two-sided level reaches: 1.96 for 0.95. Level: above 0, below 1."""
    if not 0 < level < 1:
        raise TooLittle("A level lies between 0 and 1, such as 0.95.")
    return float(scipy.special.ndtri((1 + level) / 2))


def wilson(successes: float, n: float, *, level: float = 0.95) -> Limits:
    """Return the score limits of a share, from 0 to 1, without correction for continuity.

    `successes` from 0 to `n`; `n` above 0. Raises TooLittle outside that.
    """
    if n <= 0:
        raise TooLittle("A share needs at least one case.")
    share = within("The number of successes", successes, 0, n) / n
    z = quantile(level)
    middle = share + z * z / (2 * n)
    half = z * sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    scale = 1 + z * z / n
    # At a share of 0 or 1 the end is exact, but the subtraction leaves dust.
    low = 0.0 if successes == 0 else (middle - half) / scale
    high = 1.0 if successes == n else (middle + half) / scale
    return Limits(low, high)


def correlation_limits(r: float, n: int, *, level: float = 0.95) -> Limits:
    """Return the limits of a correlation by Fisher's z, from -1 to 1.

    `r` from -1 to 1, `n` pairs, at least 4. Raises TooLittle outside that.
    """
    if n < 4:
        raise TooLittle("The limits of a correlation need at least four pairs.")
    if abs(within("A correlation", r, -1, 1)) == 1:
        return Limits(r, r)
    half = quantile(level) / sqrt(n - 3)
    return Limits(tanh(atanh(r) - half), tanh(atanh(r) + half))
