"""When a person may sit a paper again, and how much of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from training.people.rules import add_months

# After so many misses within so many months more tries teach nothing: retraining comes first (house rule).
MANY_MISSES = 4
MISSES_MONTHS = 12


@dataclass(frozen=True, slots=True)
class Ended:
    """An earlier sitting of the same paper: the local day it was handed in, and whether it was passed.

    ``short`` names the topics that fell short, where the paper is taken by its topics; ``whole`` says that the sitting
    covered every topic.
    """

    on: date
    passed: bool
    short: tuple[str, ...] = ()
    whole: bool = True


def _since_the_pass(earlier: Sequence[Ended]) -> list[Ended]:
    """Return the sittings missed since the last pass; `earlier` runs from the oldest to the newest."""
    missed: list[Ended] = []
    for sitting in earlier:
        missed = [] if sitting.passed else [*missed, sitting]
    return missed


def misses(earlier: Sequence[Ended]) -> int:
    """Count the sittings missed since the last pass; `earlier` runs from the oldest to the newest."""
    return len(_since_the_pass(earlier))


def free_on(earlier: Sequence[Ended], waits_days: Sequence[int]) -> date | None:
    """Return the first local day of the next sitting, or None where there is nothing to wait for.

    The n-th miss in a row costs the n-th wait, in days; later ones cost the last.
    """
    count = misses(earlier)
    if not count or not waits_days:
        return None
    return earlier[-1].on + timedelta(days=waits_days[min(count, len(waits_days)) - 1])


def many_misses(earlier: Sequence[Ended], *, on: date, retrained_on: date | None = None) -> bool:
    """Say whether the paper was missed so often, in the months before a local day, that retraining is wanted.

    What was missed up to the day of the last retraining no longer counts.
    """
    recent = [
        one
        for one in _since_the_pass(earlier)
        if add_months(one.on, MISSES_MONTHS) > on and (retrained_on is None or one.on > retrained_on)
    ]
    return len(recent) >= MANY_MISSES


def topics_left(earlier: Sequence[Ended], *, months: int, on: date) -> tuple[str, ...]:
    """Return the topics to sit again on a local day, or none where the whole paper is to be sat.

    Topics that were good enough are carried for so many months from the whole sitting they were earned in.
    """
    missed = _since_the_pass(earlier)
    whole = [one for one in missed if one.whole]
    if not months or not whole or on > add_months(whole[-1].on, months):
        return ()
    return missed[-1].short
