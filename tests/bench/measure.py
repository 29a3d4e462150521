"""Two ways of doing the same, measured side by side."""

import statistics
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass

from django.db import connection

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
    """Time both sides in turn and return the median of the rounds' ratios.

    By CPU time of this process, which other load moves less; where another process does part of the work, by the clock.
    """
    clock = time.perf_counter if connection.vendor == "postgresql" else time.process_time
    measured(), reference()
    ratios, values = [], []
    for _ in range(rounds):
        start = clock()
        reference()
        between = clock()
        measured()
        end = clock()
        ratios.append((end - between) / (between - start))
        values.append((end - between) * 1000)
    return Figure(name, round(statistics.median(ratios), 3), goal, round(statistics.median(values), 2), "ms")


def within(name: str, value: float, most: float, unit: str) -> Figure:
    """Set a value against the most that it may be."""
    return Figure(name, round(value / most, 3), 1.0, round(value, 2), unit)


def at_the_peak(name: str, measured: Side, reference: Side, *, goal: float) -> Figure:
    """Compare the most memory that either side holds at once, beyond what is held before it starts."""
    measured(), reference()
    peak, most = _peak(measured), _peak(reference)
    return Figure(name, round(peak / most, 3), goal, round(peak / 1024, 1), "KiB")


def _peak(side: Side) -> int:
    tracemalloc.start()
    try:
        side()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
