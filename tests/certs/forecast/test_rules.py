"""What lies ahead, over plain values."""

from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from certs.forecast import rules
from certs.forecast.rules import Spell

ON = date(2026, 11, 25)
DAYS = st.dates(date(2026, 11, 1), date(2027, 2, 1))


class TestHorizon:
    def test_is_eighteen_months_on(self) -> None:
        """Clipped to the month's end, and to the end of the calendar."""
        assert rules.horizon(ON) == date(2028, 5, 25)
        assert rules.horizon(date(2026, 8, 31)) == date(2028, 2, 29)
        assert rules.horizon(date(9998, 12, 1)) == date.max


class TestWeeks:
    def test_begin_on_a_monday(self) -> None:
        """25 November 2026 lies in week 48 of ISO 8601, which begins on the 23rd."""
        assert date(2026, 11, 23).isocalendar()[1:] == (48, 1)
        assert rules.weeks(ON, ON) == (date(2026, 11, 23),)
        assert rules.weeks(date(2026, 11, 29), date(2026, 11, 30)) == (date(2026, 11, 23), date(2026, 11, 30))
        assert len(rules.weeks(ON, rules.horizon(ON))) == 79

    @given(DAYS, DAYS)
    def test_hold_every_day(self, one: date, other: date) -> None:
        """Each day falls into the week whose ISO number it bears."""
        first, last = sorted((one, other))
        mondays = rules.weeks(first, last)
        assert {day.isocalendar()[:2] for day in mondays} == {
            (first + timedelta(days=n)).isocalendar()[:2] for n in range((last - first).days + 1)
        }

    def test_begin_with_the_calendar(self) -> None:
        """1 January of the year 1 is a Monday in the calendar used here."""
        assert rules.weeks(date.min, date(1, 1, 9)) == (date(1, 1, 1), date(1, 1, 8))


class TestMonthFirsts:
    def test_of_every_month_that_begins_between(self) -> None:
        """Over a year's end; not the month one is in; to the end of the calendar."""
        assert rules.month_firsts(date(2026, 11, 23), date(2027, 2, 1)) == (
            date(2026, 12, 1),
            date(2027, 1, 1),
            date(2027, 2, 1),
        )
        assert rules.month_firsts(date(2026, 11, 1), date(2026, 11, 30)) == ()
        assert rules.month_firsts(date(9999, 11, 30), date.max) == (date(9999, 12, 1),)
        assert rules.month_firsts(date.min, date(1, 2, 3)) == (date(1, 2, 1),)


class TestByWeek:
    def test_counts_what_falls_into_each(self) -> None:
        """Sunday still belongs to the week before."""
        days = {date(2026, 11, 25): 2, date(2026, 11, 29): 1, date(2026, 11, 30): 4}
        assert rules.by_week(days, rules.weeks(ON, date(2026, 12, 10))) == (3, 4, 0)


class TestUncovered:
    @pytest.mark.parametrize(
        ("spells", "gaps"),
        [
            ([], [(1, 30)]),
            ([(1, 30)], []),
            ([(1, 10)], [(11, 30)]),
            ([(5, 10), (11, 30)], [(1, 4)]),
            ([(12, 20), (1, 10)], [(11, 11), (21, 30)]),
            ([(1, 20), (5, 10)], [(21, 30)]),
        ],
    )
    def test_names_the_days_in_no_spell(self, spells: list[tuple[int, int]], gaps: list[tuple[int, int]]) -> None:
        """Spells may overlap, nest and come in any order."""
        made = [Spell(date(2026, 11, a), date(2026, 11, b)) for a, b in spells]
        found = rules.uncovered(made, first=date(2026, 11, 1), last=date(2026, 11, 30))
        assert [(one.from_on.day, one.until_on.day) for one in found] == gaps

    @given(st.lists(st.tuples(DAYS, DAYS).map(sorted)), DAYS, DAYS)
    def test_is_what_counting_day_by_day_finds(self, spells: list[list[date]], one: date, other: date) -> None:
        """The slow way round gives the same days."""
        first, last = sorted((one, other))
        every = {first + timedelta(days=n) for n in range((last - first).days + 1)}
        free = {day for day in every if not any(a <= day <= b for a, b in spells)}
        found = rules.uncovered([Spell(a, b) for a, b in spells], first=first, last=last)
        assert {
            gap.from_on + timedelta(days=n) for gap in found for n in range((gap.until_on - gap.from_on).days + 1)
        } == free
        assert all(a.until_on + timedelta(days=1) < b.from_on for a, b in pairwise(found))


class TestTrainerDays:
    def test_is_nothing_known_without_a_duration(self) -> None:
        """A scheme that states none costs an unknown time, not none."""
        assert rules.trainer_days(7, Decimal("0.5")) == Decimal("3.5")
        assert rules.trainer_days(7, None) is None
