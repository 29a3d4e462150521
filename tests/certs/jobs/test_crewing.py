"""Who fills which place: against brute force over every way of doing it, and scipy's matching of another kind."""

from datetime import date, timedelta
from itertools import permutations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_bipartite_matching

from certs.jobs.rules import Hand, Job, Ranges, Seat, Want, crew_day, crew_job, fits, seats

ON = date(2027, 3, 1)
ALWAYS: Ranges = ((ON, ON + timedelta(days=99)),)
SCHEMES = ("rail", "lead")


def job(*wants: Want, crew: str | None = None, cover: bool = False, last: date = ON) -> Job:
    return Job("j", "works", "siding", ON, last, wants, 12, False, False, crew, cover)


def hand(
    key: str,
    *schemes: str,
    crew: str | None = None,
    supervisor: bool = False,
    away: Ranges = (),
    employer: str = "works",
) -> Hand:
    return Hand(key, key.title(), crew, employer, dict.fromkeys(schemes, ALWAYS), supervisor, away)


HANDS = st.lists(
    st.tuples(st.sets(st.sampled_from(SCHEMES)), st.booleans(), st.booleans()), min_size=0, max_size=6
).map(
    lambda rows: [
        hand(f"h{place}", *sorted(held), supervisor=supervisor, away=ALWAYS if away else ())
        for place, (held, supervisor, away) in enumerate(rows)
    ]
)
JOBS = st.builds(
    lambda rail, lead, cover: job(Want("rail", rail), Want("lead", lead), cover=cover),
    st.integers(1, 3),
    st.integers(1, 2),
    st.booleans(),
)


def most_filled(wanted: Job, hands: list[Hand]) -> int:
    """Try every order of people and empty chairs on the places: the most that can be filled."""
    places = seats(wanted)
    chairs: list[Hand | None] = [*hands, *[None] * len(places)]
    best = 0
    for order in permutations(range(len(chairs)), len(places)):
        sat = [(chairs[who], seat) for who, seat in zip(order, places, strict=True)]
        best = max(best, sum(one is not None and fits(wanted, one, seat, on=ON) for one, seat in sat))
        if best == len(places):
            break
    return best


class TestMatching:
    """As many places as can be filled together, nobody twice."""

    @given(JOBS, HANDS.filter(lambda hands: len(hands) <= 4))
    def test_brute_force(self, wanted: Job, hands: list[Hand]) -> None:
        """No other way of seating people fills more places."""
        day = crew_day(wanted, hands, on=ON)
        assert sum(place.hand is not None for place in day.places) == most_filled(wanted, hands)

    @given(JOBS, HANDS)
    def test_another_method(self, wanted: Job, hands: list[Hand]) -> None:
        """Hopcroft and Karp's method, as scipy has it, fills as many."""
        places = seats(wanted)
        fit = np.array([[fits(wanted, one, seat, on=ON) for seat in places] for one in hands], dtype=np.int8)
        graph = csr_matrix(fit.reshape(len(hands), len(places)))
        most = int((maximum_bipartite_matching(graph, perm_type="row") >= 0).sum()) if hands else 0
        assert len(places) - len(crew_day(wanted, hands, on=ON).missing) == most

    @given(JOBS, HANDS)
    def test_nobody_twice(self, wanted: Job, hands: list[Hand]) -> None:
        """Whoever fills a place fits it, and fills no other."""
        day = crew_day(wanted, hands, on=ON)
        filled = [place for place in day.places if place.hand is not None]
        assert len({place.hand.key for place in filled if place.hand}) == len(filled)
        assert all(fits(wanted, place.hand, place.seat, on=ON) for place in filled if place.hand)
        assert day.is_full == (not day.missing)

    def test_two_schemes_count_once(self) -> None:
        """One person with both cards does not make two."""
        both = hand("both", "rail", "lead")
        day = crew_day(job(Want("rail", 1), Want("lead", 1)), [both], on=ON)
        assert len(day.missing) == 1
        assert crew_day(job(Want("rail", 1), Want("lead", 1)), [both, hand("rail", "rail")], on=ON).is_full

    def test_nobody_at_all(self) -> None:
        """Without people every place is empty."""
        assert crew_day(job(Want("rail", 2), cover=True), [], on=ON).missing == (Seat("rail"), Seat("rail"), Seat(None))


class TestRules:
    """What keeps a person out of a place."""

    def test_away_and_elsewhere(self) -> None:
        """Away, of another employer, of another crew: no place."""
        asked = job(Want("rail", 1), crew="north")
        away, other = hand("a", "rail", crew="north", away=((ON, ON),)), hand("b", "rail", crew="north", employer="x")
        south, north = hand("c", "rail", crew="south"), hand("d", "rail", crew="north")
        assert [fits(asked, one, Seat("rail"), on=ON) for one in (away, other, south, north)] == [False] * 3 + [True]

    def test_crew_of_the_day(self) -> None:
        """Whoever changes crews belongs to the one of the day."""
        moved = Hand("m", "M", "north", "works", {"rail": ALWAYS}, False, (), {"north": ((ON, ON),)})
        asked = job(Want("rail", 1), crew="north", last=ON + timedelta(days=1))
        assert [day.is_full for day in crew_job(asked, [moved])] == [True, False]

    def test_cover_comes_from_any_crew(self) -> None:
        """A supervisor covers whatever crew is asked for; a card does not make one."""
        asked = job(crew="north", cover=True)
        assert crew_day(asked, [hand("s", supervisor=True)], on=ON).is_full
        assert not crew_day(asked, [hand("c", "rail", crew="north")], on=ON).is_full


class TestSameFaces:
    """A crew stays together where it can."""

    def test_stays(self) -> None:
        """Who was there yesterday is there today, though somebody further up the list is back."""
        back = hand("a", "rail", away=((ON, ON),))
        first, second = crew_job(job(Want("rail", 1), last=ON + timedelta(days=1)), [back, hand("b", "rail")])
        assert [day.places[0].hand and day.places[0].hand.key for day in (first, second)] == ["b", "b"]

    def test_gives_way(self) -> None:
        """Filling the day comes before keeping faces."""
        free = ((ON + timedelta(days=1), ON + timedelta(days=1)),)
        lead = Hand("l", "L", None, "works", {"lead": ALWAYS}, False, free)
        both, rail = hand("x", "lead", "rail"), hand("r", "rail")
        asked = job(Want("lead", 1), last=ON + timedelta(days=1))
        assert [day.is_full for day in crew_job(asked, [lead, both, rail])] == [True, True]
