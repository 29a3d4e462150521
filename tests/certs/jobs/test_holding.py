"""Days on which cards hold: as `cards.rules.standing` says of each single day."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from certs.cards.rules import Facts, Owed, Step, standing
from certs.jobs.rules import covers, shared
from certs.jobs.rules.holding import held_on
from training.content.schemes import Unconfirmed

ON = date(2027, 1, 1)
NEAR = st.integers(-60, 120).map(lambda days: ON + timedelta(days=days))
FACTS = st.builds(
    lambda first, length, confirm, unconfirmed, confirmed, measures, owed: Facts(
        valid_from=first,
        last_day=first + timedelta(days=length),
        renew_months=1,
        grace_months=6,
        confirm_by=first + timedelta(days=confirm),
        confirm_months=1,
        unconfirmed=unconfirmed,
        confirmed_on=tuple(confirmed),
        measures=tuple(measures),
        owed=tuple(Owed(by_day, stops, settled) for by_day, stops, settled in owed),
    ),
    NEAR,
    st.integers(0, 90),
    st.integers(0, 40),
    st.sampled_from(Unconfirmed),
    st.lists(NEAR, max_size=3),
    st.lists(st.tuples(st.sampled_from(Step), NEAR), max_size=3),
    st.lists(st.tuples(NEAR, st.booleans(), st.none() | NEAR), max_size=2),
)
SPELLS = st.lists(st.tuples(NEAR, NEAR).map(lambda pair: (min(pair), max(pair))), max_size=3).map(tuple)


class TestHeld:
    @given(st.lists(FACTS, max_size=3).map(lambda many: sorted(many, key=lambda facts: facts.valid_from)))
    def test_is_what_every_day_says(self, issued: list[Facts]) -> None:
        """Renewed, confirmed late, suspended and reinstated, stopped by a procedure: day by day the same."""
        span = [ON + timedelta(days=days) for days in range(91)]
        found = held_on(issued, first=span[0], last=span[-1])
        for day in span:
            by_then = [facts for facts in issued if facts.valid_from <= day]
            assert covers(found, day) == bool(by_then and standing(by_then[-1], on=day).standing.holds)
        assert all(ON <= first <= last <= span[-1] for first, last in found)


class TestShared:
    @given(SPELLS, SPELLS)
    def test_lies_in_both(self, one: tuple[tuple[date, date], ...], other: tuple[tuple[date, date], ...]) -> None:
        both = shared(one, other)
        for days in range(-60, 121):
            day = ON + timedelta(days=days)
            assert covers(both, day) == (covers(one, day) and covers(other, day))
