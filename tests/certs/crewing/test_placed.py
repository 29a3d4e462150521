"""The check of one job beside an accepted plan: whom it places there, and whom it has placed elsewhere."""

from datetime import date, timedelta
from io import BytesIO
from typing import Any

import pypdf
import pytest
import time_machine
from django.template.loader import render_to_string

from certs.cards.operations import measure
from certs.cards.rules import Step
from certs.crewing import operations
from certs.crewing.models import Plan
from certs.crewing.queries import on_home, placed, shown
from certs.jobs import operations as jobs
from certs.jobs.models import Facts, Job
from certs.jobs.queries import Check, check
from certs.jobs.rules import AcceptedPlan, Hand, Placed, Seat, Want
from certs.jobs.rules import Job as Asked
from certs.jobs.rules.placing import bound, elsewhere, free, missed
from certs.visits.models import Visit, VisitStep
from tests.cast import AT, ON, Cast, assemble
from tests.certs.factory import card, scheme_issue
from training.people.operations import move
from training.people.rules import Role

FIRST = ON + timedelta(days=1)


@pytest.fixture
def cast(db: None) -> Cast:
    """Ada and Ben hold cards, and Sol leads."""
    made = assemble()
    for one in (made.ada, made.ben):
        card(made, one, on=date(2026, 8, 31))
    return made


def keep(cast: Cast, reference: str, *, holders: int = 1, cover: bool = False) -> Job:
    """Keep a job of tomorrow."""
    facts = Facts(
        employer=cast.northmoor, reference=reference, place=f"Line of {reference}", first_on=FIRST, last_on=FIRST,
        bonds=10, each_day=True, crew=None, cold=False, night=False, cover=cover,
        wants={scheme_issue().scheme: holders},
    )  # fmt: skip
    return jobs.add(facts=facts, by=cast.sol, at=AT)


def accepted(cast: Cast) -> Plan:
    """Have a plan made of the jobs there are, and accept it."""
    plan = operations.ask(employer=cast.northmoor, first_on=ON, last_on=FIRST, by=cast.sol, at=AT)
    while not plan.is_made:
        plan = operations.advance(plan=plan)
    operations.accept(plan=plan, by=cast.sol, at=AT)
    return plan


def names(found: Check) -> list[str]:
    """Return who goes on the one day."""
    (span,) = found.spans
    return sorted(name for place in span.places for name in place.names)


def sheet(cast: Cast, job: Job) -> str:
    """Return the words of the printed sheet of a job, as one line."""
    with time_machine.travel(AT, tick=False):
        sent = cast.client("sol").get(f"/jobs/{job.pk}/sheet.pdf").content
    (page,) = pypdf.PdfReader(BytesIO(sent)).pages
    return " ".join(page.extract_text().split())


class TestVisit:
    def test_says_whom_a_plan_sends_out_on_its_day(self, cast: Cast) -> None:
        """To those who ask, and for the people it is about: the trainer cannot change the plan."""
        scheme = scheme_issue().scheme
        asked = {
            "employer": cast.northmoor,
            "scheme": scheme,
            "trainer": cast.olga,
            "asked_by": cast.sol,
            "asked_at": AT,
        }
        visit = Visit.objects.create(**asked, on=FIRST, place="Yard")
        VisitStep.objects.create(visit=visit, person=cast.ada, step="practical")
        keep(cast, "N-1", holders=2)
        accepted(cast)
        with time_machine.travel(AT, tick=False):
            pages = [cast.client(who).get(f"/visits/{visit.pk}/").content.decode() for who in ("sol", "olga")]
        said = "an accepted crewing plan sends Ada Crew to N-1."
        assert [said in page for page in pages] == [True, False]
        assert "sends Ben Crew" not in pages[0]


class TestCheck:
    def test_offers_nobody_whom_the_plan_sends_elsewhere(self, cast: Cast) -> None:
        """Two go to one job by the plan; for another of that day nobody is left, and both are told with that job."""
        keep(cast, "N-1", holders=2, cover=True)
        plan = operations.ask(employer=cast.northmoor, first_on=ON, last_on=FIRST, by=cast.sol, at=AT)
        plan = operations.advance(plan=plan)
        other = keep(cast, "N-2", cover=True)
        assert check(other, on=ON, at=AT).can  # proposed only: nobody is bound by it
        operations.accept(plan=plan, by=cast.sol, at=AT)
        found = check(other, on=ON, at=AT)
        (span,) = found.spans
        assert (found.can, names(found)) == (False, [])
        lacks = [(lack.name, lack.why) for gap in span.gaps for lack in gap.lacks]
        assert lacks == [("Ada Crew", "Placed at N-1 that day."), ("Ben Crew", "Placed at N-1 that day.")]
        assert span.elsewhere == (("Sol Supervisor", "N-1"),)
        page = cast.client("sol").get(f"/jobs/{other.pk}/").content.decode()
        assert 'href="/gaps/"' in page  # nobody is left: the way on
        assert "Not offered: Sol Supervisor, placed at N-1 that day." in page
        assert "Change the accepted plan." in page
        assert "1 place open, Supervisor: nobody else is free that day." in page
        assert "there is nobody else here" not in page
        operations.take_back(plan=plan, by=cast.sol, at=AT)
        assert check(other, on=ON, at=AT).can

    def test_offers_another(self, cast: Cast) -> None:
        """One is bound, the other goes; who would have done is told, though the day is full."""
        first, other = keep(cast, "N-1"), keep(cast, "N-2")
        plan = accepted(cast)
        there = {turn.job_id: turn.person.name for turn in plan.turns.select_related("person")}
        found = check(other, on=ON, at=AT)
        assert names(found) == [there[other.pk]]
        (span,) = found.spans
        assert span.elsewhere == ((there[first.pk], "N-1"),)

    def test_shows_whom_the_plan_places(self, cast: Cast) -> None:
        """By name and place, with the way to the plan; and says of whom it is no longer true."""
        job = keep(cast, "N-1", cover=True)
        plan = accepted(cast)
        turn = plan.turns.exclude(scheme="").select_related("person").get()
        found = check(job, on=ON, at=AT)
        (span,) = found.spans
        assert {(one.name, one.what, one.goes) for one in span.sent} == {
            (turn.person.name, scheme_issue().title, True), ("Sol Supervisor", "Supervisor", True),
        }  # fmt: skip
        page = " ".join(cast.client("sol").get(f"/jobs/{job.pk}/").content.decode().split())
        assert "Placed here by the accepted plan:" in page
        assert f'href="/crewing/{plan.pk}/"' in page
        assert f'href="/jobs/{job.pk}/"' in cast.client("sol").get(f"/crewing/{plan.pk}/").content.decode()
        held = turn.person.cards.get()
        measure(card=held, step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        later = check(job, on=ON, at=AT)
        assert [one.name for one in later.spans[0].sent if not one.goes] == [turn.person.name]
        assert (later.can, turn.person.name in names(later)) == (True, False)
        assert "who cannot go as things stand now" in cast.client("sol").get(f"/jobs/{job.pk}/").content.decode()

    def test_sheet_says_where_its_names_come_from(self, cast: Cast) -> None:
        """By the check alone; by a plan, with who accepted it and when; or some so and some so, each name marked."""
        job = keep(cast, "N-1", cover=True)
        assert "Names by the check alone: no accepted crewing plan has this job" in sheet(cast, job)
        plan = accepted(cast)
        by, when = "accepted by Sol Supervisor, 25 Nov 2026, 09:00 UTC.", "as things stand now"
        text = sheet(cast, job)
        assert f"Names by an accepted crewing plan: {by}" in text
        assert "(plan)" not in text
        turn = plan.turns.exclude(scheme="").select_related("person").get()
        measure(card=turn.person.cards.get(), step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        text = sheet(cast, job)
        assert f"Names marked (plan) stand in an accepted crewing plan: {by} The others are by the check alone," in text
        assert f"In the plan, but cannot go {when}: {turn.person.name}, {scheme_issue().title}, 26 Nov 2026." in text
        assert "Supervisor: Sol Supervisor (plan)" in text
        other = ({"Ada Crew", "Ben Crew"} - {turn.person.name}).pop()
        assert f"{other} (plan)" not in text
        assert other in text

    def test_closed_and_moved_jobs_bind_nobody(self, cast: Cast, django_assert_num_queries: Any) -> None:
        """A closed job takes nobody from others, and asks for nobody; nor does a day that is its no more."""
        first, other = keep(cast, "N-1"), keep(cast, "N-2")
        accepted(cast)
        with django_assert_num_queries(1):
            assert len(placed(cast.northmoor, FIRST, FIRST)) == 2
        jobs.close(job=first, at=AT)
        (span,) = check(other, on=ON, at=AT).spans
        assert span.elsewhere == ()
        first.refresh_from_db()
        assert check(first, on=ON, at=AT).spans[0].sent == ()
        Job.objects.filter(pk=other.pk).update(last_on=FIRST + timedelta(days=4), first_on=FIRST + timedelta(days=3))
        assert placed(cast.northmoor, FIRST, FIRST) == ()

    def test_is_said_when_somebody_is_away_then(self, cast: Cast) -> None:
        """Whoever keeps days away is told at once that the plan does not hold; others of the plan are not named."""
        keep(cast, "N-1", cover=True)
        accepted(cast)
        typed = {"person": cast.sol.pk, "reason": "leave", "from_on": ON.isoformat(), "until_on": FIRST.isoformat()}
        with time_machine.travel(AT, tick=False):
            page = cast.client("max").post("/jobs/away/", typed, follow=True).content.decode()
        assert "An accepted plan sends Sol Supervisor out on these days, so change it: 26 Nov 2026, N-1." in page

    def test_counts_who_has_moved_to_another_employer_as_gone(self, cast: Cast) -> None:
        """The place is open, nobody is named who is no longer theirs, and the one who moved is sent nowhere."""
        job = keep(cast, "N-1", holders=2, cover=True)
        plan = accepted(cast)
        move(by=cast.max, person=cast.ada, employer=cast.elsewhere, number="", on=ON, at=AT)
        cast.ada.refresh_from_db()
        assert on_home(cast.ada, {Role.CREW}, on=ON) is None
        assert on_home(cast.ben, {Role.CREW}, on=ON) is not None
        page = shown(plan)
        assert (page.filled, page.places) == (2, 3)
        assert page.open == (f"26 Nov 2026, N-1, Line of N-1: 1 holder of {scheme_issue().title} is missing.",)
        assert [one.partition(": ")[2][:36] for one in page.faults] == ["whoever is sent there does not work "]
        found = check(job, on=ON, at=AT)
        assert (found.can, names(found)) == (False, ["Ben Crew", "Sol Supervisor"])
        assert [one.name for one in found.spans[0].sent if not one.goes] == ["somebody who has left"]
        operations.take_back(plan=plan, by=cast.sol, at=AT)
        place = {"on": FIRST.isoformat(), "job": job.pk, "scheme": scheme_issue().scheme.slug, "before": cast.ada.pk}
        with time_machine.travel(AT, tick=False):
            sol = cast.client("sol")
            told = [sol.get(url).content.decode() for url in (f"/crewing/{plan.pk}/", f"/jobs/{job.pk}/")]
            told.append(sol.get(f"/crewing/{plan.pk}/change/", place).content.decode())
            assert "Whoever had it has left." in told[-1]
            assert not any("Ada Crew" in body for body in told)
            sol.post(f"/crewing/{plan.pk}/change/", place)
        assert not plan.turns.filter(person=cast.ada).exists()


def hand(key: str, *schemes: str, crew: str | None = None, supervisor: bool = False) -> Hand:
    return Hand(key, key.title(), crew, "works", dict.fromkeys(schemes, ((ON, FIRST),)), supervisor, ())


class TestHome:
    def test_says_where_one_works_next(self, cast: Cast) -> None:
        """Day, job, place and card, from the acceptance on; who may open the job has the way there."""
        first, last = FIRST, FIRST + timedelta(days=1)
        job = keep(cast, "N-1", cover=True)
        Job.objects.update(last_on=last)
        assert on_home(cast.sol, {Role.SUPERVISOR}, on=ON) is None
        plan = operations.ask(employer=cast.northmoor, first_on=ON, last_on=last, by=cast.sol, at=AT)
        plan = operations.advance(plan=plan)
        assert on_home(cast.sol, {Role.SUPERVISOR}, on=ON) is None
        operations.accept(plan=plan, by=cast.sol, at=AT)
        found = on_home(cast.sol, {Role.SUPERVISOR}, on=ON)
        assert found is not None
        assert [(one.days, one.reference, one.what) for one in found.spells] == [
            ("Thu 26 Nov to Fri 27 Nov 2026", "N-1", "Supervisor"),
        ]  # fmt: skip
        assert on_home(cast.sol, {Role.SUPERVISOR}, on=last + timedelta(days=1)) is None
        later = on_home(cast.sol, {Role.SUPERVISOR}, on=last)
        assert later is not None
        assert later.spells[0].days == "Fri 27 Nov 2026"
        sent = plan.turns.filter(on=first).exclude(scheme="").select_related("person").get().person
        crew = render_to_string("certs/crewing/home.html", {"part": on_home(sent, {Role.CREW}, on=ON)})
        assert "Thu 26 Nov" in crew
        assert "N-1, Line of N-1" in crew
        with time_machine.travel(AT, tick=False):
            page = cast.client("sol").get("/").content.decode()
        assert "Where I work next" in page
        assert f'href="/jobs/{job.pk}/"' in page
        jobs.close(job=job, at=AT)
        assert on_home(cast.sol, {Role.SUPERVISOR}, on=ON) is None

    def test_tells_a_supervisor_which_plan_does_not_hold(self, cast: Cast) -> None:
        """A card that is stopped breaks the turns from today on; who only goes is not asked to mend a plan."""
        keep(cast, "N-1")
        plan = accepted(cast)
        assert on_home(cast.sol, {Role.SUPERVISOR}, on=ON) is None
        turn = plan.turns.select_related("person").get()
        measure(card=turn.person.cards.get(), step=Step.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        found = on_home(cast.sol, {Role.SUPERVISOR}, on=ON)
        assert found is not None
        assert [(one.plan, one.number) for one in found.broken] == [(str(plan.pk), 1)]
        told = render_to_string("certs/crewing/home.html", {"part": found})
        assert f'href="/crewing/{plan.pk}/"' in told and "1 turn to change" in told and "Where I work next" not in told
        assert on_home(cast.sol, {Role.SUPERVISOR}, on=FIRST + timedelta(days=1)) is None
        with time_machine.travel(AT, tick=False):
            assert "Take it back to change it" in cast.client("sol").get(f"/crewing/{plan.pk}/").content.decode()
        crew = on_home(turn.person, {Role.CREW}, on=ON)
        assert crew is not None
        assert crew.broken == ()


class TestRules:
    JOB = Asked("j", "works", "siding", ON, ON, (Want("rail", 1),), 1, False, False, "north", True)

    def sent(self, key: str, scheme: str | None = "rail", job: str = "j") -> Placed:
        return Placed(ON, job, job.upper(), Seat(scheme), key, key.title(), AcceptedPlan("p", "Sol", AT))

    def test_bound(self) -> None:
        """Of another crew too; not twice, not without a card, not without a place that is left, not unknown."""
        hands = [hand("a", "rail"), hand("b", "rail", supervisor=True), hand("c")]
        placed = [self.sent("c"), self.sent("x"), self.sent("a"), self.sent("b"), self.sent("b", None)]
        placed += [self.sent("b", None), self.sent("b", None, job="k")]
        found = bound(self.JOB, hands, placed, on=ON)
        assert [(one.key, seat.scheme) for seat, one in found] == [("a", "rail"), ("b", None)]
        assert bound(self.JOB, hands, placed, on=FIRST) == ()

    def test_free_and_missed(self) -> None:
        """Who is placed elsewhere is away that day only, and is missed only where they would do."""
        hands = [hand("a", "rail", crew="north"), hand("b", "rail"), hand("c", supervisor=True), hand("d", "rail")]
        taken = elsewhere([self.sent(key, job="k") for key in "abc"] + [self.sent("d")], "j")
        assert taken == {(ON, "a"): "K", (ON, "b"): "K", (ON, "c"): "K"}
        assert [one.away for one in free(hands, taken)] == [((ON, ON),), ((ON, ON),), ((ON, ON),), ()]
        assert [one.key for one in missed(self.JOB, hands, taken, on=ON)] == ["a", "c"]
