"""Which entries count towards the next confirmation, and which days cannot be right."""

from datetime import UTC, date, datetime, timedelta

import pytest

from certs.worklog import rules
from certs.worklog.rules import Slip, Span

ON = date(2026, 11, 25)
NOON = datetime(2026, 11, 20, 12, tzinfo=UTC)


class TestSpan:
    @pytest.mark.parametrize(
        ("done_on", "counts"),
        [(date(2026, 5, 31), False), (date(2026, 6, 1), True), (ON, True), (date(2026, 11, 26), False)],
    )
    def test_runs_from_the_card_to_today(self, done_on: date, counts: bool) -> None:
        """Both end days count."""
        assert Span(date(2026, 6, 1), None, ON).counts(done_on, NOON) is counts

    def test_counts_each_entry_once(self) -> None:
        """What came before the last confirmation was looked at then; what came later was not, though done earlier."""
        span = Span(date(2026, 6, 1), NOON, ON)
        assert not span.counts(date(2026, 11, 1), NOON)
        assert span.counts(date(2026, 11, 1), NOON + timedelta(seconds=1))


class TestSlip:
    @pytest.mark.parametrize(("days", "slip"), [(1, Slip.FUTURE), (0, None), (-366, None), (-367, Slip.OLD)])
    def test_names_a_day_that_cannot_be(self, days: int, slip: Slip | None) -> None:
        """Tomorrow, or over a year ago."""
        assert rules.slip(ON + timedelta(days=days), on=ON) is slip


class TestListed:
    def test_names_each_job_once(self) -> None:
        """In the order of the entries; those without a number are left out."""
        assert rules.listed(["J7", "", "J8", "J7"]) == "J7, J8"
        assert rules.listed([""]) == ""
