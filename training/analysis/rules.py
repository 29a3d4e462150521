"""What may be said of a question or a paper from so many uses, and what deserves a person's look.

A flag asks; only a person changes or retires a question. The sample sizes follow from how wide the limits are: at 30
uses a correlation of .3 runs from -.07 to .60, at 200 papers an alpha of .80 is known to about .04. Shares and
correlations are plain numbers; a share lies from 0 to 1.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isnan

from training.statistics.decisions import Classification, livingston_lewis
from training.statistics.intervals import Limits, correlation_limits, wilson
from training.statistics.items import better_than_key, correlation, dead_options, option_table
from training.statistics.matrix import TooLittle
from training.statistics.reliability import alpha, drawn_anew, error_at

PROVISIONAL_FROM, ENOUGH_FROM, PAPER_FROM, NOBODY_FROM = 30, 100, 200, 5
HARD_BELOW, EASY_ABOVE, LOW_BELOW = 0.30, 0.95, 0.20


class Sample(StrEnum):
    """How far a question's uses carry."""

    FEW = "few"
    PROVISIONAL = "provisional"
    ENOUGH = "enough"


class Flag(StrEnum):
    """What asks for a look."""

    NOBODY_RIGHT = "nobody right"
    HARD = "hard"
    EASY = "easy"
    LOW = "low"
    NEGATIVE = "negative"
    DEAD_OPTION = "dead option"
    CHECK_KEY = "check key"


@dataclass(frozen=True, slots=True)
class Raised:
    """A flag, and the option it is about where it is about one."""

    flag: Flag
    option: str = ""


@dataclass(frozen=True, slots=True)
class Answered:
    """One use of a question: the share earned, the share earned on the rest of that paper, the option chosen."""

    share: float
    rest: float
    chosen: str = ""


@dataclass(frozen=True, slots=True)
class Choices:
    """The options of a question that has one right one."""

    options: tuple[str, ...]
    right: str


@dataclass(frozen=True, slots=True)
class Behaviour:
    """How a question does; `rest` is its correlation with the rest, or None while that may not be shown."""

    uses: int
    right: int
    facility: float
    limits: Limits
    sample: Sample
    rest: float | None
    raised: tuple[Raised, ...]


def sample(uses: int) -> Sample:
    """Return how far so many uses carry."""
    if uses < PROVISIONAL_FROM:
        return Sample.FEW
    return Sample.PROVISIONAL if uses < ENOUGH_FROM else Sample.ENOUGH


def behaviour(answered: Sequence[Answered], *, safety: bool, choices: Choices | None = None) -> Behaviour:
    """Return how a question does over its uses, at least one.

    A safety question should be easy, so it is never flagged for that.
    """
    uses, size = len(answered), sample(len(answered))
    right = sum(one.share == 1 for one in answered)
    earned = sum(one.share for one in answered)
    limits = wilson(min(earned, uses), uses)
    rest = None if size is Sample.FEW else correlation([one.share for one in answered], [one.rest for one in answered])
    raised = [*_of_facility(uses, right, limits, safety=safety), *_of_rest(rest, uses)]
    if choices and size is Sample.ENOUGH:
        raised += _of_options(answered, choices)
    spoken = {one.flag for one in raised} & {Flag.LOW, Flag.NEGATIVE}
    shown = rest is not None and not isnan(rest) and (size is Sample.ENOUGH or bool(spoken))
    return Behaviour(uses, right, earned / uses, limits, size, rest if shown else None, tuple(raised))


def _of_facility(uses: int, right: int, limits: Limits, *, safety: bool) -> list[Raised]:
    """Flag by the limit on the safe side: the whole interval must lie beyond the threshold."""
    if right == 0 and uses >= NOBODY_FROM:
        return [Raised(Flag.NOBODY_RIGHT)]
    if sample(uses) is not Sample.ENOUGH:
        return []
    if limits.high < HARD_BELOW:
        return [Raised(Flag.HARD)]
    return [Raised(Flag.EASY)] if limits.low > EASY_ABOVE and not safety else []


def _of_rest(rest: float | None, uses: int) -> list[Raised]:
    if rest is None or isnan(rest):
        return []
    highest = correlation_limits(rest, uses).high
    if highest < 0:
        return [Raised(Flag.NEGATIVE)]
    return [Raised(Flag.LOW)] if highest < LOW_BELOW else []


def _of_options(answered: Sequence[Answered], choices: Choices) -> list[Raised]:
    rows = option_table(
        [one.chosen for one in answered],
        [one.rest for one in answered],
        options=choices.options,
        right=choices.right,
    )
    better = [Raised(Flag.CHECK_KEY, option) for option in better_than_key(rows)]
    return better + [Raised(Flag.DEAD_OPTION, option) for option in dead_options(rows)]


@dataclass(frozen=True, slots=True)
class Trust:
    """How far a paper can be trusted.

    `formula` is 20 where everyone had the same questions, 21 where they were drawn anew; `error` in marks at the cut;
    `decisions` is None where the marks are too much alike to tell.
    """

    formula: int
    reliability: float
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
    return Trust(20 if same else 21, reliability, error_at(cut, k), decisions)


def picture(shares: Sequence[float], *, bins: int = 10) -> tuple[int, ...]:
    """Return how many shares of the marks fall into each of `bins` equal bands; full marks join the last band."""
    counts = [0] * bins
    for share in shares:
        # Rounded first: 0.7 is 7 tenths although 0.7 * 10 may come out just below.
        counts[min(int(round(share * bins, 9)), bins - 1)] += 1
    return tuple(counts)
