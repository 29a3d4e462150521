"""How a question drawn anew for each person does by the values drawn: where in its range it goes wrong.

A corner is flagged only when its whole interval lies below that of all other draws, with uses enough on both sides:
two 95 % intervals that do not meet are apart by far more than chance, so a few values looked at together still hold.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from training.analysis.rules.questions import PROVISIONAL_FROM
from training.statistics.intervals import Limits, wilson

# So many different values or fewer are looked at one by one.
ONE_BY_ONE = 4


@dataclass(frozen=True, slots=True)
class Corner:
    """The draws of one value from `low` to `high`: uses, share of the marks earned, its limits, and the flag."""

    low: Decimal
    high: Decimal
    uses: int
    share: float
    limits: Limits
    bad: bool


def _thirds(values: Sequence[Decimal]) -> list[int]:
    """Return for each value its third: 0 the lowest, 2 the highest. Equal values share a third."""
    ordered = sorted(values)
    count = len(ordered)
    places = {}
    for value in set(ordered):
        first = ordered.index(value)
        middle = first + ordered.count(value) / 2
        places[value] = min(int(3 * middle / count), 2)
    return [places[value] for value in values]


def corners(values: Sequence[Decimal], shares: Sequence[float]) -> tuple[Corner, ...]:
    """Return the corners of one drawn value, from low to high; none where it never varies.

    `shares` holds the share earned, 0 to 1, at each of `values`.
    """
    different = sorted(set(values))
    if len(different) < 2:
        return ()
    groups = [different.index(one) for one in values] if len(different) <= ONE_BY_ONE else _thirds(values)
    found = []
    for group in sorted(set(groups)):
        inside = [(value, share) for value, share, one in zip(values, shares, groups, strict=True) if one == group]
        others = [share for share, one in zip(shares, groups, strict=True) if one != group]
        found.append(_corner(inside, others))
    return tuple(found)


def _corner(inside: Sequence[tuple[Decimal, float]], others: Sequence[float]) -> Corner:
    values, shares = [value for value, _share in inside], [share for _value, share in inside]
    limits = _limits(shares)
    enough = min(len(shares), len(others)) >= PROVISIONAL_FROM
    bad = enough and limits.high < _limits(others).low
    return Corner(min(values), max(values), len(shares), sum(shares) / len(shares), limits, bad)


def _limits(shares: Sequence[float]) -> Limits:
    # Adding shares of a third may land above the number of uses by dust.
    return wilson(min(sum(shares), len(shares)), len(shares))
