"""The same figures as from a whole table of scores, from blocks of it that need not be held at the same time.

What is kept grows with the number of items and marks, never with the number of people, and does not depend on how
the people were cut into blocks. Figures agree with those of a whole table but for rounding.
"""

from math import floor, isfinite

import numpy as np
from numpy.typing import ArrayLike

from training.statistics.matrix import Numbers, TooLittle, matrix
from training.statistics.reliability import alpha_of, kr21

# Below this share of the mean square it came from, a variance is what rounding left of a constant.
DUST = 1e-13


class Responses:
    """Scores met so far of `items` items (two or more) that earn 0 to `maximum` marks each, part marks included."""

    def __init__(self, items: int, *, maximum: float = 1.0) -> None:
        """Start with nobody."""
        if items < 2 or not (isfinite(maximum) and maximum > 0):
            raise TooLittle("A paper has two items or more, each worth some marks.")
        self.people = 0
        self.maximum = maximum
        self._sum, self._square, self._with_total = np.zeros((3, items))
        self._total_square = 0.0
        self._distribution = np.zeros(floor(round(items * maximum, 9)) + 1, dtype=np.int64)

    def add(self, scores: ArrayLike) -> None:
        """Take in a block, shape (people, items); one person or more.

        Raises TooLittle, with nothing taken in, for another number of items, a gap, or a score that cannot be earned.
        """
        block = matrix(scores, rows=1)
        if block.shape[1] != self._sum.size:
            raise TooLittle(f"Each person needs {self._sum.size} scores.")
        if block.min() < 0 or block.max() > self.maximum:
            raise TooLittle(f"A score lies from 0 to {self.maximum:g}.")
        # Products with ones add up several times as fast as sums along an axis.
        total = block @ np.ones(block.shape[1])
        self.people += block.shape[0]
        self._sum += np.ones(block.shape[0]) @ block
        self._square += np.einsum("ij,ij->j", block, block)
        self._with_total += total @ block
        self._total_square += float(total @ total)
        # Rounded first: ten shares of 0.1 earn the whole mark.
        marks = np.floor(total.round(9)).astype(np.int64)
        self._distribution += np.bincount(marks, minlength=self._distribution.size)

    def facility(self) -> Numbers:
        """Return the mean share of the marks each item earned, shape (items,), from 0 to 1."""
        return np.asarray(self._sum / (self._known(1) * self.maximum))

    def distribution(self) -> tuple[int, ...]:
        """Return how many people have each whole mark from 0 up; part marks count for the whole mark below."""
        return tuple(int(count) for count in self._distribution)

    def mean(self) -> float:
        """Return the mean total, in marks."""
        return float(self._sum.sum()) / self._known(1)

    def variance(self) -> float:
        """Return the variance of the totals (population), in marks squared; exactly 0 where all are the same."""
        n = self._known(2)
        return float(_spread(np.array(self._total_square / n), np.array(self.mean())))

    def item_rest(self) -> Numbers:
        """Return each item's correlation with the total of the others, shape (items,); nan where one is constant."""
        n = self._known(2)
        level = self._sum / n
        others = self.mean() - level
        together = (self._with_total - self._square) / n - level * others
        own = _spread(self._square / n, level)
        # The rest is a difference, so its dust is that of the totals.
        square = self._total_square / n
        rest = _spread(square + (self._square - 2 * self._with_total) / n, others, against=square)
        spread = np.sqrt(own * rest)
        found = np.full(spread.size, np.nan)
        np.divide(together, spread, out=found, where=spread > 0)
        return np.asarray(np.clip(found, -1.0, 1.0))

    def alpha(self) -> float:
        """Return Cronbach's alpha, which is KR-20 where every score is right (1) or wrong (0). Raises TooLittle."""
        n = self._known(2)
        return alpha_of(_spread(self._square / n, self._sum / n), self.variance())

    def kr21(self) -> float:
        """Return Kuder and Richardson's formula 21 of one-mark items. Raises TooLittle where totals do not differ."""
        return kr21(self.mean() / self.maximum, self.variance() / self.maximum**2, self._sum.size)

    def _known(self, least: int) -> int:
        if self.people < least:
            raise TooLittle(f"There are {self.people} people so far; at least {least} are needed.")
        return self.people


def _spread(square: Numbers, mean: Numbers, *, against: float | None = None) -> Numbers:
    """Return the variance from the mean square and the mean, 0 where only rounding is left of `against`."""
    variance = square - mean * mean
    return np.where(variance > DUST * (square if against is None else against), variance, 0.0)
