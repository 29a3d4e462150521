"""Days and spans of a card against a general-purpose date library and the time zone database."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from dateutil.relativedelta import relativedelta
from dateutil.rrule import MONTHLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from certs.cards import rules
from certs.cards.rules import Cycle, Facts, Route, Standing, Step
from training.content.schemes import LastDay, Unconfirmed


class TestAddMonths:
    """Same day of the month, clipped to the month's end."""

    @pytest.mark.parametrize(
        ("anchor", "months", "expected"),
        [
            (date(2026, 8, 31), 6, date(2027, 2, 28)),
            (date(2027, 8, 31), 6, date(2028, 2, 29)),
            (date(2028, 2, 29), 36, date(2031, 2, 28)),
            (date(2028, 2, 29), 48, date(2032, 2, 29)),
            (date(2096, 2, 29), 48, date(2100, 2, 28)),
            (date(2029, 11, 24), -6, date(2029, 5, 24)),
        ],
    )
    def test_known_days(self, anchor: date, months: int, expected: date) -> None:
        """Month ends and leap days; 2100 is no leap year (Gregorian calendar, ISO 8601)."""
        assert rules.add_months(anchor, months) == expected

    @given(st.dates(date(1990, 1, 1), date(2100, 12, 31)), st.integers(-120, 480))
    def test_agrees_with_dateutil(self, anchor: date, months: int) -> None:
        """python-dateutil's relativedelta, over 1990 to 2100."""
        assert rules.add_months(anchor, months) == anchor + relativedelta(months=months)

    def test_is_not_counted_from_the_last_end(self) -> None:
        """Two steps of six months from 31 August land on 28 August; twelve at once do not."""
        anchor = date(2026, 8, 31)
        assert rules.add_months(rules.add_months(anchor, 6), 6) == date(2027, 8, 28)
        assert rules.add_months(anchor, 12) == date(2027, 8, 31)

    def test_is_not_a_calendar_rule(self) -> None:
        """A monthly rule of RFC 5545 skips a month without that day; a card must not."""
        following = rrule(MONTHLY, interval=6, dtstart=datetime(2026, 8, 31), count=2)[1]
        assert following.date() == date(2027, 8, 31)


class TestLastDay:
    """Both conventions that are in use, counted from the first day of the first cycle."""

    @pytest.mark.parametrize(
        ("anchor", "months", "convention", "expected"),
        [
            (date(2026, 11, 25), 36, LastDay.EVE, date(2029, 11, 24)),
            # Two forms seen on certificates: '17 Nov 2026 - 16 Nov 2029' and '30 Apr 2017 ... 30 Apr 2020'.
            (date(2026, 11, 17), 36, LastDay.EVE, date(2029, 11, 16)),
            (date(2017, 4, 30), 36, LastDay.ANNIVERSARY, date(2020, 4, 30)),
            (date(2028, 2, 29), 36, LastDay.EVE, date(2031, 2, 27)),
            (date(2028, 2, 29), 72, LastDay.EVE, date(2034, 2, 27)),
            (date(2028, 2, 29), 108, LastDay.EVE, date(2037, 2, 27)),
            (date(2028, 2, 29), 144, LastDay.EVE, date(2040, 2, 28)),
        ],
    )
    def test_known_days(self, anchor: date, months: int, convention: LastDay, expected: date) -> None:
        """A leap-day card starts its later cycles on 28 February of common years."""
        assert rules.last_day_of(anchor, months, convention) == expected


class TestEndOfDay:
    """A local day ends at the first instant of the next (IANA time zone database)."""

    @pytest.mark.parametrize(
        ("day", "zone", "expected"),
        [
            (date(2029, 11, 24), "Europe/London", datetime(2029, 11, 25, 0, tzinfo=UTC)),
            (date(2027, 6, 30), "Europe/London", datetime(2027, 6, 30, 23, tzinfo=UTC)),
            # Clocks went from 24:00 to 01:00: that midnight never was.
            (date(2024, 4, 25), "Africa/Cairo", datetime(2024, 4, 25, 22, tzinfo=UTC)),
            (date(2027, 1, 31), "Australia/Sydney", datetime(2027, 1, 31, 13, tzinfo=UTC)),
            # The whole of 30 December 2011 was left out.
            (date(2011, 12, 29), "Pacific/Apia", datetime(2011, 12, 30, 10, tzinfo=UTC)),
        ],
    )
    def test_known_instants(self, day: date, zone: str, expected: datetime) -> None:
        """Winter, summer, and midnights that do not exist."""
        end = rules.end_of_day(day, zone)
        assert end == expected
        assert end.tzinfo is UTC
        assert rules.local_day(end - timedelta(seconds=1), zone) == day
        assert rules.local_day(end, zone) > day


class TestRoute:
    """EN 13133, ISO 9606-1 and ISO 9712 leave the windows to the scheme; these are six months each way."""

    @pytest.mark.parametrize(
        ("on", "expected"),
        [
            (date(2029, 5, 23), Route.EARLY),
            (date(2029, 5, 24), Route.WINDOW),
            (date(2029, 11, 24), Route.WINDOW),
            (date(2029, 11, 25), Route.GRACE),
            (date(2030, 3, 1), Route.GRACE),
            (date(2030, 5, 24), Route.GRACE),
            (date(2030, 5, 25), Route.CLOSED),
        ],
    )
    def test_to_a_new_card(self, on: date, expected: Route) -> None:
        """Last day 24 November 2029."""
        assert rules.route(date(2029, 11, 24), 6, 6, on=on) is expected


class TestCycle:
    """The days of the next card.

    That a renewal in good time does not shorten the validity is a rule of a body that certifies by ISO 9712; the grace
    of six months keeps the anniversary and leaves the gap a gap (own rule, no source).
    """

    FIRST = Cycle(anchor=date(2026, 11, 25), months=36, valid_from=date(2026, 11, 25), last_day=date(2029, 11, 24))

    @pytest.mark.parametrize(
        ("decided_on", "anchor", "last_day"),
        [
            # early: a new anchor
            (date(2029, 5, 23), date(2029, 5, 23), date(2032, 5, 22)),
            # in the window, from its first day to its last: the next cycle of the same anchor
            (date(2029, 5, 24), date(2026, 11, 25), date(2032, 11, 24)),
            (date(2029, 11, 24), date(2026, 11, 25), date(2032, 11, 24)),
            # in grace: valid from the decision on, to the day the anniversary gives
            (date(2029, 11, 25), date(2026, 11, 25), date(2032, 11, 24)),
            (date(2030, 3, 1), date(2026, 11, 25), date(2032, 11, 24)),
            (date(2030, 5, 24), date(2026, 11, 25), date(2032, 11, 24)),
            # closed: as for a first card
            (date(2030, 5, 25), date(2030, 5, 25), date(2033, 5, 24)),
        ],
    )
    def test_follows_the_first(self, decided_on: date, anchor: date, last_day: date) -> None:
        """First card from 25 November 2026 to 24 November 2029; tests passed on the day of the decision."""
        by = rules.route(self.FIRST.last_day, 6, 6, on=decided_on)
        following = rules.cycle(36, LastDay.EVE, before=self.FIRST, by=by, passed_on=decided_on, decided_on=decided_on)
        assert following == Cycle(
            anchor=anchor, months=72 if anchor == self.FIRST.anchor else 36, valid_from=decided_on, last_day=last_day
        )

    def test_has_no_authority_in_the_gap(self) -> None:
        """Last day 24 November 2029, decided 1 March 2030: on every day between, the card before has lapsed."""
        before = facts(last_day=self.FIRST.last_day, valid_from=self.FIRST.valid_from)
        for days in range(1, 97):
            on = self.FIRST.last_day + timedelta(days=days)
            assert rules.standing(before, on=on).standing is Standing.LAPSED

    def test_of_a_leap_day_starts_on_the_28th(self) -> None:
        """29 February 2028, renewed three times in the window: each cycle starts the day after a last day."""
        ends = [rules.last_day_of(date(2028, 2, 29), months, LastDay.EVE) for months in (36, 72, 108, 144)]
        starts = [day + timedelta(days=1) for day in ends]
        assert starts == [date(2031, 2, 28), date(2034, 2, 28), date(2037, 2, 28), date(2040, 2, 29)]


def facts(**changes: Any) -> Facts:
    """Return a card of three years, confirmed for all of them, on which nothing was done."""
    known: dict[str, Any] = {
        "valid_from": date(2026, 11, 25),
        "last_day": date(2029, 11, 24),
        "renew_months": 6,
        "grace_months": 6,
        "confirm_by": date(2029, 11, 24),
        "confirm_months": 6,
        "unconfirmed": Unconfirmed.STOPS,
    }
    return Facts(**known | changes)


class TestOrder:
    """Of several reasons the gravest is told: withdrawn, replaced, not yet valid, lapsed, suspended, unconfirmed."""

    EARLY = date(2026, 11, 1)
    LATE = date(2030, 1, 1)
    AMID = date(2028, 1, 1)

    @pytest.mark.parametrize(
        ("on", "steps", "confirm_by", "expected"),
        [
            (AMID, [], date(2029, 11, 24), Standing.CURRENT),
            (AMID, [], date(2027, 12, 31), Standing.WORK_NOT_CONFIRMED),
            (AMID, [Step.SUSPENDED], date(2027, 12, 31), Standing.SUSPENDED),
            (LATE, [Step.SUSPENDED], date(2027, 12, 31), Standing.LAPSED),
            (EARLY, [Step.SUSPENDED], date(2026, 10, 31), Standing.NOT_YET_VALID),
            (LATE, [Step.SUSPENDED, Step.REPLACED], date(2027, 12, 31), Standing.REPLACED),
            (EARLY, [Step.REPLACED, Step.WITHDRAWN], date(2026, 10, 31), Standing.WITHDRAWN),
            # A reinstatement after a withdrawal changes nothing: a new decision is needed.
            (AMID, [Step.WITHDRAWN, Step.REINSTATED], date(2029, 11, 24), Standing.WITHDRAWN),
            (AMID, [Step.SUSPENDED, Step.REINSTATED], date(2029, 11, 24), Standing.CURRENT),
        ],
    )
    def test_of_reasons(self, on: date, steps: list[Step], confirm_by: date, expected: Standing) -> None:
        """All taken on the first of November, before anything else."""
        taken = tuple((step, self.EARLY) for step in steps)
        assert rules.standing(facts(measures=taken, confirm_by=confirm_by), on=on).standing is expected


class TestConfirmation:
    """Every six months by the employer, as in ISO 9606-1, 9.2."""

    def facts(self, *confirmed_on: date) -> Facts:
        return Facts(
            valid_from=date(2026, 8, 31),
            last_day=date(2029, 8, 30),
            renew_months=6,
            grace_months=6,
            confirm_by=rules.add_months(date(2026, 8, 31), 6),
            confirm_months=6,
            unconfirmed=Unconfirmed.STOPS,
            confirmed_on=confirmed_on,
        )

    def test_is_due_at_the_end_of_february(self) -> None:
        """Start 31 August 2026: due 28 February 2027."""
        assert rules.standing(self.facts(), on=date(2027, 2, 28)).standing is Standing.CURRENT
        assert rules.standing(self.facts(), on=date(2027, 3, 1)).standing is Standing.WORK_NOT_CONFIRMED

    def test_on_the_first_of_march_is_too_late(self) -> None:
        """Signed 1 March: lapsed, then and later."""
        late = self.facts(date(2027, 3, 1))
        assert rules.standing(late, on=date(2027, 3, 1)).standing is Standing.WORK_NOT_CONFIRMED
        assert rules.standing(late, on=date(2027, 6, 1)).standing is Standing.WORK_NOT_CONFIRMED

    def test_on_the_due_day_counts_from_itself(self) -> None:
        """Signed 28 February 2027: good to 28 August."""
        assert rules.confirm_by(self.facts(date(2027, 2, 28)), on=date(2027, 8, 1)) == date(2027, 8, 28)
