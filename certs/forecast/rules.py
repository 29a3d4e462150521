"""What lies ahead, in weeks, in days without cover and in days of trainers. Plain values only."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from certs.cards.rules import add_months

AHEAD_MONTHS = 18
DAY, WEEK = timedelta(days=1), timedelta(days=7)


def horizon(on: date) -> date:
    """Return the last day looked at: so many months on, or the end of the calendar."""
    return add_months(on, AHEAD_MONTHS) if on.year < date.max.year - 1 else date.max


def weeks(first: date, last: date) -> tuple[date, ...]:
    """Return the Mondays of the weeks that two days and all between them lie in; a week begins as in ISO 8601."""
    monday = first - first.weekday() * DAY
    return tuple(monday + place * WEEK for place in range((last - monday).days // 7 + 1))


def month_firsts(first: date, last: date) -> tuple[date, ...]:
    """Return the first day of every month that begins after one day and no later than another."""
    count = (last.year - first.year) * 12 + last.month - first.month
    return tuple(add_months(first.replace(day=1), months) for months in range(1, count + 1))


def by_week(days: Mapping[date, int], mondays: Sequence[date]) -> tuple[int, ...]:
    """Return how many fall into each week."""
    counts = [0] * len(mondays)
    for day, number in days.items():
        counts[(day - mondays[0]).days // 7] += number
    return tuple(counts)


@dataclass(frozen=True, slots=True)
class Spell:
    """Days on end, the first and the last one included."""

    from_on: date
    until_on: date


def uncovered(spells: Iterable[Spell], *, first: date, last: date) -> tuple[Spell, ...]:
    """Return the days from first to last that lie in none of the spells, on end."""
    gaps, free_from = [], first
    for spell in sorted(spells, key=lambda one: one.from_on):
        if spell.from_on > last:
            break
        if spell.from_on > free_from:
            gaps.append(Spell(free_from, spell.from_on - DAY))
        if spell.until_on >= last:
            return tuple(gaps)
        free_from = max(free_from, spell.until_on + DAY)
    return (*gaps, Spell(free_from, last))


def trainer_days(renewals: int, each: Decimal | None) -> Decimal | None:
    """Return what so many renewals take of trainers, in days, or None where the scheme states no duration."""
    return None if each is None else renewals * each
