"""On which days a person's cards hold, without asking for every single day."""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from certs.cards.rules import Facts, add_months, standing
from certs.jobs.rules.plain import DAY, Ranges


def held_on(issued: Sequence[Facts], *, first: date, last: date) -> Ranges:
    """Return the days of a span on which the newest card issued by then holds; cards come oldest first.

    Between two days on which anything can change, nothing does: one day stands for all of them.
    """
    turns = {day for facts in issued for day in _turns(facts) if first < day <= last}
    edges = [first, *sorted(turns), last + DAY]
    found: list[tuple[date, date]] = []
    for begins, ends in pairwise(edges):
        if _holds(issued, begins):
            if found and found[-1][1] + DAY == begins:
                begins = found.pop()[0]  # noqa: PLW2901  it goes on
            found.append((begins, ends - DAY))
    return tuple(found)


def _turns(facts: Facts) -> Iterator[date]:
    """Yield every day on which the standing of a card may be another than on the day before."""
    yield facts.valid_from
    yield facts.last_day + DAY
    yield facts.confirm_by + DAY
    for day in facts.confirmed_on:
        yield day
        yield add_months(day, facts.confirm_months) + DAY
    for _step, day in facts.measures:
        yield day
    for owed in facts.owed:
        yield owed.by_day + DAY
        if owed.settled_on is not None:
            yield owed.settled_on


def _holds(issued: Sequence[Facts], on: date) -> bool:
    by_then = [facts for facts in issued if facts.valid_from <= on]
    return bool(by_then) and standing(by_then[-1], on=on).standing.holds
