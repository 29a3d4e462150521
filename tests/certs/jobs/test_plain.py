"""Jobs and people as plain values."""

from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from certs.jobs.rules import Job, Want, bonds_on, covers, days, ranges, seats

ON = date(2027, 3, 1)


def job(bonds: int, many: int, *, each_day: bool = False) -> Job:
    last = ON + timedelta(days=many - 1)
    return Job("j", "works", "siding", ON, last, (Want("rail", 2),), bonds, False, False, None, True, each_day)


class TestDays:
    """Days of a job, and its bonds spread over them."""

    @given(st.integers(1, 500), st.integers(1, 40))
    def test_all_bonds_are_made(self, bonds: int, many: int) -> None:
        """The bonds of the days are those of the job, no day has two more than another, the first have most."""
        asked = job(bonds, many)
        spread = [bonds_on(asked, on) for on in days(asked)]
        assert len(spread) == many
        assert sum(spread) == bonds
        assert max(spread) - min(spread) <= 1
        assert spread == sorted(spread, reverse=True)

    def test_each_day(self) -> None:
        """So many a day is so many on every day."""
        asked = job(30, 3, each_day=True)
        assert [bonds_on(asked, on) for on in days(asked)] == [30, 30, 30]

    def test_places(self) -> None:
        """Two holders and the supervisor."""
        assert [seat.scheme for seat in seats(job(1, 1))] == ["rail", "rail", None]


class TestRanges:
    """Days put together."""

    @given(st.sets(st.integers(0, 60)))
    def test_same_days(self, places: set[int]) -> None:
        """Ranges hold the days they are made of and no others, and none touches the next."""
        found = {ON + timedelta(days=place) for place in places}
        made = ranges(found)
        assert {ON + timedelta(days=place) for place in range(61) if covers(made, ON + timedelta(days=place))} == found
        assert all(second[0] - first[1] > timedelta(days=1) for first, second in pairwise(made))
