"""Which step of days ahead has come."""

from datetime import date, timedelta

import pytest

from certs.cards.rules import Standing
from certs.notices import rules
from certs.notices.rules import Kind

LAST = date(2029, 11, 24)
DAY = timedelta(days=1)


class TestAhead:
    @pytest.mark.parametrize(
        ("on", "expected"),
        [
            (date(2029, 8, 25), None),  # 91 days before
            (date(2029, 8, 26), 90),
            (date(2029, 9, 24), 90),  # 61
            (date(2029, 9, 25), 60),
            (date(2029, 10, 24), 60),  # 31
            (date(2029, 10, 25), 30),
            (date(2029, 11, 16), 30),  # 8
            (date(2029, 11, 17), 7),
            (LAST, 7),
            (LAST + DAY, None),
        ],
    )
    def test_is_the_latest_that_has_come(self, on: date, expected: int | None) -> None:
        """90, 60, 30 and 7 days; the days counted by the calendar."""
        assert rules.ahead(LAST, rules.LAST_DAY_AHEAD, on=on) == expected


class TestComing:
    def coming(
        self, standing: Standing, *, on: date, day: date = LAST, confirmed_to: date = LAST
    ) -> list[tuple[Kind, int]]:
        found = rules.coming(standing, day=day, last_day=LAST, confirmed_to=confirmed_to, on=on)
        return [(kind, number) for kind, _due, number in found]

    def test_tells_of_the_last_day_and_of_the_work(self) -> None:
        """Each by its own steps."""
        on = date(2029, 9, 1)
        assert self.coming(Standing.DUE, on=on, confirmed_to=on + 6 * DAY) == [(Kind.LAST_DAY, 90), (Kind.CONFIRM, 7)]
        assert self.coming(Standing.DUE, on=on, confirmed_to=on + 40 * DAY) == [(Kind.LAST_DAY, 90)]

    def test_asks_for_no_confirmation_past_the_last_day(self) -> None:
        """The card ends before."""
        assert self.coming(Standing.DUE, on=LAST, confirmed_to=LAST) == [(Kind.LAST_DAY, 7)]

    def test_tells_when_work_was_not_confirmed(self) -> None:
        """For a fortnight, so that an outage is no gap and an old lapse no news."""
        due = date(2028, 5, 25)
        assert self.coming(Standing.WORK_NOT_CONFIRMED, on=due + DAY, day=due) == [(Kind.STOPPED, 0)]
        assert self.coming(Standing.WORK_NOT_CONFIRMED, on=due + 14 * DAY, day=due) == [(Kind.STOPPED, 0)]
        assert self.coming(Standing.WORK_NOT_CONFIRMED, on=due + 15 * DAY, day=due) == []

    @pytest.mark.parametrize("standing", [one for one in Standing if not one.holds])
    def test_is_silent_about_what_does_not_hold(self, standing: Standing) -> None:
        """Nobody renews a withdrawn card."""
        assert self.coming(standing, on=LAST, day=date(2029, 1, 1)) == []
