"""How single questions behave: how hard they are, and whether those who know more get them right more often.

Scores are tables of shape (people, items). Correlations are Pearson's, which for a right-or-wrong question is the
point-biserial one. Sources: Crocker and Algina (1986), chapter 14; Kelley (1939), J. Educ. Psychol. 30, for 27 %.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from training.statistics.matrix import Numbers, TooLittle, column, constant, matrix, within

# Kelley's share: with normal scores it separates the two ends best.
KELLEY = 0.27


def facility(scores: ArrayLike, *, maximum: float = 1.0) -> Numbers:
    """Return the mean share of the marks each item earned, shape (items,), from 0 to 1.

    `scores` (people, items) in marks, at least one person; `maximum` marks an item can earn.
    """
    return np.asarray(matrix(scores, rows=1, columns=1).mean(axis=0) / maximum, dtype=np.float64)


def correlation(one: ArrayLike, other: ArrayLike) -> float:
    """Return Pearson's correlation of two lists of the same length; nan where either never varies.

    Raises TooLittle for fewer than two pairs or lists of different length.
    """
    x, y = column(one, least=2), column(other, least=2)
    if x.shape != y.shape:
        raise TooLittle("Both lists need one entry for each person.")
    if constant(x) or constant(y):
        return float("nan")
    x, y = x - x.mean(), y - y.mean()
    return float(np.clip((x @ y) / np.sqrt((x @ x) * (y @ y)), -1.0, 1.0))


def item_total(scores: ArrayLike) -> Numbers:
    """Return each item's correlation with the total, shape (items,); it flatters, as the item is in the total."""
    table = matrix(scores)
    total = table.sum(axis=1)
    return np.array([correlation(item, total) for item in table.T])


def item_rest(scores: ArrayLike) -> Numbers:
    """Return each item's correlation with the total of the other items, shape (items,); nan where one is constant."""
    table = matrix(scores)
    total = table.sum(axis=1)
    return np.array([correlation(item, total - item) for item in table.T])


def upper_lower(scores: ArrayLike, *, share: float = KELLEY) -> Numbers:
    """Return how much better the best `share` of the people did on each item than the lowest, shape (items,), -1 to 1.

    People tied at the edge of a group enter it with equal weight, so the order of the rows cannot matter.
    `share` above 0, to 0.5. Scores in shares of an item's marks.
    """
    table = matrix(scores)
    if not 0 < share <= 0.5:
        raise TooLittle("Each group holds more than none and at most half of the people.")
    total = table.sum(axis=1)
    size = share * table.shape[0]
    difference = _top(total, size) @ table - _top(-total, size) @ table
    return np.asarray(difference / size, dtype=np.float64)


def _top(total: Numbers, size: float) -> Numbers:
    """Return the weight from 0 to 1 of each person in the group of `size` with the highest totals."""
    _values, where, counts = np.unique(-total, return_inverse=True, return_counts=True)
    before = np.cumsum(counts) - counts
    return np.asarray(np.clip((size - before) / counts, 0.0, 1.0)[where], dtype=np.float64)


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One option of a question: how often it was chosen, and by whom; `mean` is nan where nobody chose it."""

    option: str
    right: bool
    count: int
    share: float
    mean: float
    correlation: float


def option_table(
    chosen: Sequence[str], rest: ArrayLike, *, options: Sequence[str], right: str
) -> tuple[OptionRow, ...]:
    """Return one row an option, in the order given.

    `chosen` names the option of each person, another text where none was chosen; `rest` is each person's score on
    the rest of the paper, shape (n,). `mean` is that of the people who chose the option, in marks; `correlation` that
    of choosing it with `rest`, nan where constant. Raises TooLittle for fewer than two people, a missing score, or a
    right answer that is no option.
    """
    if right not in options:
        raise TooLittle("The right answer must be one of the options.")
    others = column(rest, least=2)
    rows = []
    for option in options:
        took = np.array([one == option for one in chosen], dtype=np.float64)
        together, count = correlation(took, others), int(took.sum())
        mean = float(others @ took / count) if count else float("nan")
        rows.append(OptionRow(option, option == right, count, float(took.mean()), mean, together))
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class Band:
    """People of like score: the lowest and highest among them in marks, and the share who chose each option."""

    low: float
    high: float
    people: int
    shares: tuple[float, ...]


def option_curves(
    chosen: Sequence[str], scores: ArrayLike, *, options: Sequence[str], bands: int = 5
) -> tuple[Band, ...]:
    """Return how the options draw people from the lowest scores to the highest, in at most so many bands.

    `chosen` as for `option_table`, `scores` of the same people in marks, shape (n,). Bands hold about as many people
    each, and nobody is parted from others of the same score, so ties may leave fewer bands. `shares` follow the order
    of `options`. Raises TooLittle for lists of different length, or fewer than one band.
    """
    marks = column(scores)
    if len(chosen) != marks.size or bands < 1:
        raise TooLittle("Each person needs a choice and a score, and there is one band or more.")
    taken = np.array([[one == option for option in options] for one in chosen], dtype=np.float64)
    edges = np.quantile(marks, np.arange(1, bands) / bands)
    place = np.searchsorted(edges, marks)
    return tuple(
        Band(float(marks[here].min()), float(marks[here].max()), int(here.sum()), tuple(taken[here].mean(axis=0)))
        for here in (place == band for band in np.unique(place))
    )


def dead_options(rows: Sequence[OptionRow], *, below: float = 0.05) -> tuple[str, ...]:
    """Return the wrong options chosen by less than a share `below` of the people."""
    within("The share", below, 0, 1)
    return tuple(row.option for row in rows if not row.right and row.share < below)


def better_than_key(rows: Sequence[OptionRow]) -> tuple[str, ...]:
    """Return the wrong options that go with the rest of the paper better than the right answer does."""
    key = next((row.correlation for row in rows if row.right), float("nan"))
    return tuple(row.option for row in rows if not row.right and row.correlation > key)
