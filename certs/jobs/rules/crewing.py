"""Who fills which place of a job, one person one place a day: a matching of people and places."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import scipy

from certs.jobs.rules.placing import Placed, bound
from certs.jobs.rules.plain import Hand, Job, Seat, days, fits, seats


@dataclass(frozen=True, slots=True)
class Place:
    """A place and who fills it, or nobody."""

    seat: Seat
    hand: Hand | None


@dataclass(frozen=True, slots=True)
class Day:
    """One day of a job, place by place."""

    on: date
    places: tuple[Place, ...]

    @property
    def is_full(self) -> bool:
        """Whether the day can be crewed."""
        return all(place.hand is not None for place in self.places)

    @property
    def missing(self) -> tuple[Seat, ...]:
        """The places that nobody can fill."""
        return tuple(place.seat for place in self.places if place.hand is None)


def crew_day(
    job: Job, hands: Sequence[Hand], *, on: date, before: Collection[str] = (), bound: Sequence[tuple[Seat, Hand]] = ()
) -> Day:
    """Fill as many places of a day as can be filled together, beside those that are `bound` to somebody already.

    Of all ways to do so, it takes the one with the most people who were there `before` (keys), and then the one that
    takes people from the front of the list. The assignment is scipy's, a shortest augmenting path.
    """
    wanted = seats(job)
    filled: dict[int, Hand] = {}
    for seat, hand in bound:
        filled[next(place for place, one in enumerate(wanted) if one == seat and place not in filled)] = hand
    open_ones = [place for place in range(len(wanted)) if place not in filled]
    gone = {hand.key for hand in filled.values()}
    there = [hand for hand in hands if hand.key not in gone]
    matched = _matched(job, there, [wanted[place] for place in open_ones], on=on, before=before)
    filled |= {open_ones[column]: hand for column, hand in matched.items()}
    return Day(on, tuple(Place(seat, filled.get(place)) for place, seat in enumerate(wanted)))


def _matched(
    job: Job, hands: Sequence[Hand], wanted: Sequence[Seat], *, on: date, before: Collection[str]
) -> dict[int, Hand]:
    """Return who fills which of the places, by their position."""
    again = 0 if not before else len(hands) * (len(wanted) + 1)
    # Nobody is left out to save a lesser cost: one empty place costs more than everything else together.
    empty = (len(hands) + again) * (len(wanted) + 1)
    costs = np.full((len(hands), len(wanted)), float(empty))
    for seat in dict.fromkeys(wanted):
        # Places of a kind are alike.
        columns_alike = [column for column, one in enumerate(wanted) if one == seat]
        for row, hand in enumerate(hands):
            if fits(job, hand, seat, on=on):
                costs[row, columns_alike] = row + (0 if hand.key in before else again)
    rows, columns = scipy.optimize.linear_sum_assignment(costs)
    return {
        int(column): hands[int(row)] for row, column in zip(rows, columns, strict=True) if costs[row, column] < empty
    }


def crew_job(job: Job, hands: Sequence[Hand], placed: Collection[Placed] = ()) -> tuple[Day, ...]:
    """Crew every day of a job; whoever is there one day is there the next day too, where that can be.

    Whom a plan sends there goes, and whom it sends elsewhere is handed in as away (`placing.free`).
    """
    crewed: list[Day] = []
    there: frozenset[str] = frozenset()
    for on in days(job):
        crewed.append(crew_day(job, hands, on=on, before=there, bound=bound(job, hands, placed, on=on)))
        there = frozenset(place.hand.key for place in crewed[-1].places if place.hand is not None)
    return tuple(crewed)
