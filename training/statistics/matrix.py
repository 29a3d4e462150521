"""What every statistic asks of its numbers before it counts."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers = NDArray[np.float64]


class TooLittle(ValueError):
    """The numbers given cannot carry the statistic; the message is a sentence that says what is missing."""


def matrix(values: ArrayLike, *, rows: int = 2, columns: int = 2) -> Numbers:
    """Return a table of finite numbers, one person a row and one item a column.

    Raises TooLittle for another shape, for fewer rows or columns than asked, and for a value that is missing.
    """
    table = np.asarray(values, dtype=np.float64)
    if table.ndim != 2 or table.shape[0] < rows or table.shape[1] < columns:
        raise TooLittle(f"A table of at least {rows} rows and {columns} columns is needed.")
    if not np.isfinite(table).all():
        raise TooLittle("Every cell needs a number: leave out the people with a gap.")
    return table


def column(values: ArrayLike, *, least: int = 1) -> Numbers:
    """Return a row of finite numbers, shape (n,). Raises TooLittle for another shape, fewer than `least`, or a gap."""
    row = np.asarray(values, dtype=np.float64)
    if row.ndim != 1 or row.shape[0] < least:
        raise TooLittle(f"A list of at least {least} numbers is needed.")
    if not np.isfinite(row).all():
        raise TooLittle("Every entry needs a number: leave out the gaps.")
    return row


def constant(values: Numbers) -> bool:
    """Say whether values are all the same but for the last figures, which may come from adding part marks up."""
    return bool(np.ptp(values) <= 1e-9 * np.abs(values).max())


def within(name: str, value: float, low: float, high: float) -> float:
    """Return the value when it lies from low to high, both included, else raise TooLittle."""
    if not low <= value <= high:
        raise TooLittle(f"{name} must lie from {low:g} to {high:g}; {value:g} does not.")
    return value
