"""How a question does, what may be said of it from so many uses, and what deserves a person's look.

A flag asks; only a person changes or retires a question. The sample sizes follow from how wide the limits are: at 30
uses a correlation of .3 runs from -.07 to .60. Shares and correlations are plain numbers; a share lies from 0 to 1.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isnan

from training.statistics.intervals import Limits, correlation_limits, wilson
from training.statistics.items import (
    Band,
    OptionRow,
    better_than_key,
    correlation,
    dead_options,
    option_curves,
    option_table,
    upper_lower,
)

PROVISIONAL_FROM, ENOUGH_FROM, NOBODY_FROM = 30, 100, 5
BANDS = 4
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
    KEY_BEATEN = "key beaten"


@dataclass(frozen=True, slots=True)
class Raised:
    """A flag, and the option it is about where it is about one."""

    flag: Flag
    option: str = ""


@dataclass(frozen=True, slots=True)
class Answered:
    """One use of a question: the share earned, the share earned on the `others` of that paper, the option chosen."""

    share: float
    rest: float
    chosen: str = ""
    others: int = 1


@dataclass(frozen=True, slots=True)
class Choices:
    """The options of a question that has one right one."""

    options: tuple[str, ...]
    right: str


@dataclass(frozen=True, slots=True)
class Options:
    """Who chose which option: a row each, and their shares from the lowest marks elsewhere to the highest."""

    rows: tuple[OptionRow, ...]
    bands: tuple[Band, ...]


@dataclass(frozen=True, slots=True)
class Behaviour:
    """How a question does; None stands for what may not be shown yet.

    `rest` is its correlation with the rest, `rest_limits` bound that; `upper_lower` is how much better the best 27 %
    did than the lowest, -1 to 1.
    """

    uses: int
    right: int
    facility: float
    limits: Limits
    sample: Sample
    rest: float | None
    rest_limits: Limits | None
    upper_lower: float | None
    options: Options | None
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
    limits = wilson(min(sum(one.share for one in answered), uses), uses)
    rest = None if size is Sample.FEW else correlation([one.share for one in answered], [one.rest for one in answered])
    options = _options(answered, choices) if choices and size is Sample.ENOUGH else None
    raised = [*_of_facility(uses, right, limits, safety=safety), *_of_rest(rest, uses)]
    raised += _of_options(options) if options else []
    spoken = {one.flag for one in raised} & {Flag.LOW, Flag.NEGATIVE}
    shown = rest if rest is not None and not isnan(rest) and (size is Sample.ENOUGH or spoken) else None
    return Behaviour(
        uses=uses,
        right=right,
        facility=sum(one.share for one in answered) / uses,
        limits=limits,
        sample=size,
        rest=shown,
        rest_limits=None if shown is None else correlation_limits(shown, uses),
        upper_lower=_upper_lower(answered) if shown is not None and size is Sample.ENOUGH else None,
        options=options,
        raised=tuple(raised),
    )


def _upper_lower(answered: Sequence[Answered]) -> float:
    return float(upper_lower([[one.share, one.rest * one.others] for one in answered])[0])


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


def _options(answered: Sequence[Answered], choices: Choices) -> Options:
    chosen, rests = [one.chosen for one in answered], [one.rest for one in answered]
    rows = option_table(chosen, rests, options=choices.options, right=choices.right)
    return Options(rows, option_curves(chosen, rests, options=choices.options, bands=BANDS))


def _of_options(options: Options) -> list[Raised]:
    """Ask about each option that outdoes the key; louder where the best band itself prefers it."""
    best = dict(zip((row.option for row in options.rows), options.bands[-1].shares, strict=True))
    key = next(best[row.option] for row in options.rows if row.right)
    better = [
        Raised(Flag.KEY_BEATEN if best[option] > key else Flag.CHECK_KEY, option)
        for option in better_than_key(options.rows)
    ]
    return better + [Raised(Flag.DEAD_OPTION, option) for option in dead_options(options.rows)]
