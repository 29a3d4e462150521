"""Whether a job can be crewed, against the standings that the board shows."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from certs.cards.models import Card
from certs.cards.operations import confirm, measure
from certs.cards.rules import Step
from certs.jobs import operations
from certs.jobs.models import Facts, Job
from certs.jobs.queries import check, hands
from certs.jobs.rules import Reason, covers
from tests.cast import AT, ON, START, Cast, person
from tests.certs.factory import card, noon
from tests.certs.jobs.conftest import Make
from training.people.models import CrewMembership, RoleHeld
from training.people.rules import Role


class TestHands:
    def test_hold_on_the_days_the_board_says(self, cast: Cast) -> None:
        """Day by day the same people as `Card.objects.valid_on`, the board's own SQL, over ends and stops."""
        card(cast, cast.ada, on=date(2026, 6, 1))  # work to be confirmed by 1 Dec 2026
        late = card(cast, cast.ben, on=date(2023, 12, 20))  # ends 19 Dec 2026
        for day in (
            date(2024, 6, 10),
            date(2024, 12, 1),
            date(2025, 5, 20),
            date(2025, 11, 10),
            date(2026, 5, 1),
            date(2026, 10, 20),
        ):
            confirm(card=late, by=cast.sol, shots=9, evidence="Sheets", doubts=False, on=day, at=noon(day))
        first, last = ON, ON + timedelta(days=40)
        made = hands(cast.northmoor, first=first, last=last)
        held = {(one.key, first + timedelta(days=n)) for one in made for n in range(41)
                if covers(one.may.get("bonds", ()), first + timedelta(days=n))}  # fmt: skip
        board = set()
        for n in range(41):
            day = first + timedelta(days=n)
            found = Card.objects.newest_on(day).valid_on(day)
            board |= {(str(pk), day) for pk in found.values_list("person", flat=True)}
        assert held == board
        assert len({key for key, _day in held}) == 2
        assert len(held) < 2 * 41

    def test_crews_roles_and_days_away(self, cast: Cast) -> None:
        """Sol leads, Ada changes crews, Ben is away; a supervisor for some of the days is none."""
        cast.ada.crew_memberships.update(until_on=ON)
        RoleHeld.objects.create(person=cast.ben, role=Role.SUPERVISOR, from_on=START, until_on=ON)
        away = {"from_on": ON, "until_on": ON + timedelta(days=9), "by": cast.sol, "at": AT}
        operations.go_away(person=cast.ben, reason=Reason.LEAVE, **away)
        made = {one.name: one for one in hands(cast.northmoor, first=ON, last=ON + timedelta(days=3))}
        assert set(made) == {"Ada Crew", "Ben Crew", "Sol Supervisor"}
        assert made["Ada Crew"].crews == {str(cast.crew.pk): ((ON, ON),)}
        assert made["Ada Crew"].crew == str(cast.crew.pk)
        assert made["Ben Crew"].away == ((ON, ON + timedelta(days=3)),)
        assert [one.supervisor for one in made.values()] == [False, False, True]


class TestCheck:
    def test_says_who_goes(self, cast: Cast, make: Make) -> None:
        """Ada's card holds, and she goes on both days."""
        card(cast, cast.ada, on=date(2026, 8, 31))
        found = check(make(), on=ON, at=AT)
        assert found.can
        assert [(span.number, [place.names for place in span.places]) for span in found.spans] == [(2, [("Ada Crew",)])]
        assert found.most_bonds == 150

    def test_says_what_is_lacking(self, cast: Cast, make: Make) -> None:
        """Suspended, without a card, away: each with the step that the record tells."""
        held = card(cast, cast.ada, on=date(2026, 8, 31))
        measure(card=held, step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        cid = person("cid", "Cid Crew", cast.northmoor, Role.CREW)
        away = {"from_on": ON, "until_on": ON + timedelta(days=9), "by": cast.sol, "at": AT}
        operations.go_away(person=cid, reason=Reason.ILLNESS, **away)
        found = check(make(), on=ON, at=AT)
        assert (found.full, found.number, found.can) == (0, 2, False)
        (span,) = found.spans
        (gap,) = span.gaps
        told = {lack.name: (lack.why, lack.step) for lack in gap.lacks}
        assert told["Ada Crew"][0] == "Suspended since 25 Nov 2026."
        assert told["Ada Crew"][1].startswith("No work under this card.")
        assert told["Ben Crew"][0] == "No card."
        assert told["Ben Crew"][1] != ""
        assert told["Cid Crew"] == ("Away.", "")
        assert "Sol Supervisor" not in told

    def test_asks_a_fixed_number_of_queries(self, cast: Cast, make: Make) -> None:
        """Each of those who lack something is told with a step, and more of them cost no query."""
        job = make()
        few = self.queries(job, people=2)
        for number in range(9):
            person(f"c{number}", f"Crew {number}", cast.northmoor, Role.CREW)
        assert self.queries(job, people=11) == few

    def queries(self, job: Job, *, people: int) -> int:
        with CaptureQueriesContext(connection) as asked:
            found = check(job, on=ON, at=AT)
        told = [lack for span in found.spans for gap in span.gaps for lack in gap.lacks]
        assert len(told) == people
        assert all(lack.step for lack in told)
        return len(asked)

    def test_does_not_take_a_card_as_renewed_or_confirmed(self, cast: Cast, make: Make) -> None:
        """Confirmed to 30 November and no later: good on that day, not on the next, and the step is to confirm."""
        card(cast, cast.ada, on=date(2026, 5, 30))
        found = check(make(first_on=date(2026, 11, 30), last_on=date(2026, 12, 1)), on=ON, at=AT)
        assert [span.is_full for span in found.spans] == [True, False]
        assert found.spans[1].gaps[0].lacks[0].why == "Work not confirmed, due 30 Nov 2026."
        assert found.spans[1].gaps[0].lacks[0].step == "Ask the supervisor to confirm the work by 30 Nov 2026."
        assert found.says == "No: 1 of 2 days can be crewed, as things stand today."

    def test_looks_in_the_crew_asked_for(self, cast: Cast, make: Make) -> None:
        """Ben has the card but not the crew."""
        card(cast, cast.ben, on=date(2026, 8, 31))
        job = make(crew=cast.crew)
        assert not check(job, on=ON, at=AT).can
        CrewMembership.objects.create(person=cast.ben, crew=cast.crew, from_on=START)
        assert check(job, on=ON, at=AT).can

    def test_leaves_days_gone_by_out(self, cast: Cast, make: Make) -> None:
        """A job that runs is checked from today on; one that is over as a whole."""
        card(cast, cast.ada, on=date(2026, 8, 31))
        job = make(first_on=ON - timedelta(days=3), last_on=ON + timedelta(days=1))
        assert (check(job, on=ON, at=AT).since, check(job, on=ON, at=AT).number) == (ON, 2)
        assert check(job, on=ON + timedelta(days=30), at=AT).number == 5

    def test_asks_for_cover(self, cast: Cast, make: Make) -> None:
        """Sol covers; while Sol is away nobody does, and nobody is named for it."""
        card(cast, cast.ada, on=date(2026, 8, 31))
        job = make(cover=True)
        assert check(job, on=ON, at=AT).can
        away = {"from_on": ON, "until_on": ON + timedelta(days=9), "by": cast.max, "at": AT}
        operations.go_away(person=cast.sol, reason=Reason.COURSE, **away)
        (span,) = check(job, on=ON, at=AT).spans
        assert [(gap.what, gap.lacks) for gap in span.gaps] == [("Supervisor", ())]


class TestOperations:
    def test_refuses_a_reference_twice(self, make: Make) -> None:
        """In the words of the constraint."""
        make()
        with pytest.raises(operations.JobRefused, match="already has a job of that reference"):
            make()

    def test_keeps_all_or_none(self, cast: Cast, make: Make) -> None:
        """The second job of a list is refused, and the first is not there."""
        kept = make()
        facts = Facts(
            employer=cast.northmoor, reference="N-2", place="Yard", first_on=ON, last_on=ON, bonds=1, each_day=False,
            crew=None, cold=False, night=False, cover=False, wants={},
        )  # fmt: skip
        with pytest.raises(operations.JobRefused):
            operations.bring_in(jobs=[facts, facts], by=cast.sol, at=AT)
        assert list(cast.northmoor.jobs.all()) == [kept]
        assert len(operations.bring_in(jobs=[facts], by=cast.sol, at=AT)) == 1

    def test_refuses_days_away_twice(self, cast: Cast) -> None:
        """One day in common is one too many."""
        away = {"person": cast.ada, "reason": Reason.LEAVE, "by": cast.sol, "at": AT}
        kept = operations.go_away(from_on=ON, until_on=ON + timedelta(days=2), **away)
        with pytest.raises(operations.AbsenceRefused):
            operations.go_away(from_on=ON + timedelta(days=2), until_on=ON + timedelta(days=9), **away)
        operations.come_back(absence=kept)
        assert operations.go_away(from_on=ON + timedelta(days=2), until_on=ON + timedelta(days=9), **away)
