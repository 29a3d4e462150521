"""How far a paper can be trusted, how its marks lie, and whether its time is enough.

The sample sizes follow from how wide the limits are: at 200 papers an alpha of .80 is known to about .04.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from training.analysis.rules.questions import Sample, sample
from training.statistics.decisions import Classification, livingston_lewis
from training.statistics.intervals import Limits
from training.statistics.matrix import TooLittle
from training.statistics.reliability import alpha, alpha_interval, drawn_anew, error_at

PAPER_FROM = 200
# What a paper should decide alike a second time (common practice, no source).
ALIKE_FROM = 0.85
# Of the time given: who is this near its end may have been cut short (common practice, no source).
NEARLY_ALL = 0.95


@dataclass(frozen=True, slots=True)
class Trust:
    """How far a paper can be trusted.

    `formula` is 20 where everyone had the same questions, 21 where they were drawn anew; `error` in marks at the cut;
    `decisions` is None where the marks are too much alike to tell.
    """

    formula: int
    reliability: float
    limits: Limits
    error: float
    decisions: Classification | None


def trust(marks: Sequence[Sequence[float]], *, same: bool, cut: float) -> Trust | None:
    """Return how far a paper can be trusted, or None while fewer than PAPER_FROM papers or equal totals forbid it.

    `marks` holds each paper's share by question, all of one length of at least two; `same` says that the columns are
    the same questions for everyone; `cut` in marks.
    """
    if len(marks) < PAPER_FROM:
        return None
    try:
        reliability = alpha(marks) if same else drawn_anew(marks)
    except TooLittle:
        return None
    k = len(marks[0])
    totals = [sum(one) for one in marks]
    mean = sum(totals) / len(totals)
    variance = sum((one - mean) ** 2 for one in totals) / len(totals)
    try:
        decisions = livingston_lewis(mean, variance, reliability, cut=cut, highest=k)
    except TooLittle:
        decisions = None
    # Feldt's limits are made for formula 20. Those of formula 21 differ in degrees of freedom, by one person in all.
    limits = alpha_interval(reliability, people=len(marks), items=k)
    return Trust(20 if same else 21, reliability, limits, error_at(cut, k), decisions)


@dataclass(frozen=True, slots=True)
class Times:
    """The minutes used: what half and what nine in ten of the papers stayed within, and how far that carries."""

    median: float
    ninetieth: float
    sample: Sample


def times(minutes: Sequence[float]) -> Times | None:
    """Return how long papers took, or None while too few were handed in to say."""
    size = sample(len(minutes))
    if size is Sample.FEW:
        return None
    half, most = np.percentile(minutes, (50, 90))
    return Times(float(half), float(most), size)


def picture(shares: Sequence[float], *, bins: int = 10) -> tuple[int, ...]:
    """Return how many shares of the marks fall into each of `bins` equal bands; full marks join the last band."""
    counts = [0] * bins
    for share in shares:
        # Rounded first: 0.7 is 7 tenths although 0.7 * 10 may come out just below.
        counts[min(int(round(share * bins, 9)), bins - 1)] += 1
    return tuple(counts)
