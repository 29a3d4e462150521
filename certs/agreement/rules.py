"""Which practicals a second assessor marks, who may, and how far two assessors agree on a step. Plain values only.

A tenth of the practicals of a year, and at least twenty (house rule). Kappa collapses where nearly all pass, so it is
never shown without the table and the kappa of Byrt, Bishop and Carlin beside it; sources in training.statistics.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from hashlib import sha256
from math import ceil
from uuid import UUID

from training.statistics.agreement import kappa, pabak
from training.statistics.intervals import Limits, wilson
from training.statistics.matrix import TooLittle

SHARE = Fraction(1, 10)
LEAST_A_YEAR = 20
# What happened longer ago cannot be marked as it was seen (house rule).
WAITS_DAYS = 365
FIGURES_FROM, ENOUGH_FROM = 30, 100


def lot(signoff: UUID) -> Fraction:
    """Return where a practical falls between 0 and 1: by its number alone, so nobody chooses which are marked twice."""
    first = sha256(b"double marking " + signoff.bytes).digest()[:8]
    return Fraction(int.from_bytes(first), 2**64)


def sample(year: Iterable[UUID]) -> frozenset[UUID]:
    """Return which practicals of one year a second assessor marks: a tenth, at least twenty, all where fewer.

    Those whose lot falls in the lowest tenth stay in it, whatever else is signed that year.
    """
    ranked = sorted(year, key=lambda one: (lot(one), one.bytes))
    low = sum(lot(one) < SHARE for one in ranked)
    return frozenset(ranked[: max(low, ceil(SHARE * len(ranked)), LEAST_A_YEAR)])


class How(StrEnum):
    """From what a second assessor marks."""

    RECORD = "record"
    RAIL = "rail"


class Objection(StrEnum):
    """Why a person may not mark a practical as its second assessor."""

    CANDIDATE = "candidate"
    FIRST = "first"
    NOT_ASSESSOR = "not assessor"
    TRAINED = "trained"
    DECIDES = "decides"
    MARKED = "marked"


def objections(
    *, is_candidate: bool, is_first: bool, may_assess: bool, near: bool, decides: bool, marked: bool
) -> tuple[Objection, ...]:
    """Return every reason why a person may not be the second assessor.

    `near`: trained the candidate lately; `decides`: reads the first marks to decide about the card, or has done so.
    """
    reasons = (
        (is_candidate, Objection.CANDIDATE),
        (is_first, Objection.FIRST),
        (not may_assess, Objection.NOT_ASSESSOR),
        (near, Objection.TRAINED),
        (decides, Objection.DECIDES),
        (marked, Objection.MARKED),
    )
    return tuple(objection for holds, objection in reasons if holds)


class Sample(StrEnum):
    """How far so many practicals carry."""

    FEW = "few"
    PROVISIONAL = "provisional"
    ENOUGH = "enough"


def carries(n: int) -> Sample:
    """Return how far `n` practicals carry; at 100 kappa is known to about 0.12, at 50 to 0.17, at 20 to 0.26."""
    if n < FIGURES_FROM:
        return Sample.FEW
    return Sample.PROVISIONAL if n < ENOUGH_FROM else Sample.ENOUGH


@dataclass(frozen=True, slots=True)
class Table:
    """Counts of one step: seen by both, by the first only, by the second only, by neither."""

    both: int = 0
    first: int = 0
    second: int = 0
    neither: int = 0

    @property
    def n(self) -> int:
        """Number of practicals."""
        return self.both + self.first + self.second + self.neither


def table(pairs: Sequence[tuple[bool, bool]]) -> Table:
    """Return the counts of pairs of marks, the first assessor's before the second's."""
    counts = (pairs.count(pair) for pair in ((True, True), (True, False), (False, True), (False, False)))
    return Table(*counts)


@dataclass(frozen=True, slots=True)
class Figures:
    """How far two assessors agree on a step; `kappa` and `error` are None where chance explains everything."""

    n: int
    agreed: int
    limits: Limits
    sample: Sample
    kappa: float | None
    error: float | None
    pabak: float


def figures(counts: Table) -> Figures:
    """Return the figures of a step that was marked at least once by both."""
    cells = [[counts.both, counts.first], [counts.second, counts.neither]]
    agreed = counts.both + counts.neither
    value: float | None = None
    error: float | None = None
    try:
        found = kappa(cells)
        value, error = found.kappa, found.error
    except TooLittle:
        pass
    return Figures(counts.n, agreed, wilson(agreed, counts.n), carries(counts.n), value, error, pabak(cells))
