"""Two ways of doing the same, measured side by side."""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

Side = Callable[[], object]


@dataclass(frozen=True)
class Figure:
    """One measured ratio with its goal; `value` is the measured side's own median in `unit`."""

    name: str
    ratio: float
    goal: float
    value: float
    unit: str


def side_by_side(name: str, measured: Side, reference: Side, *, goal: float, rounds: int = 9) -> Figure:
    """Time both sides in turn by process CPU time and return the median of the rounds' ratios."""
    measured(), reference()
    ratios, values = [], []
    for _ in range(rounds):
        start = time.process_time()
        reference()
        between = time.process_time()
        measured()
        end = time.process_time()
        ratios.append((end - between) / (between - start))
        values.append((end - between) * 1000)
    return Figure(name, round(statistics.median(ratios), 3), goal, round(statistics.median(values), 2), "ms")
