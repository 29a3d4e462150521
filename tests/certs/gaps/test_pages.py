"""The page of the gap plan: asked for, without a gap, and with visits to ask for."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.utils.formats import date_format

from certs.crewing import operations as crewing
from certs.gaps.queries.page import NAMED
from certs.jobs import operations as jobs
from certs.jobs.models import Absence, Job
from certs.jobs.rules import Reason
from certs.visits.models import Visit, VisitStep
from tests.cast import AT, ON, Cast, person
from tests.certs.factory import card, scheme_issue
from tests.certs.jobs.conftest import Make
from training.people.rules import Role

UNTIL = f"?until={(ON + timedelta(days=60)).isoformat()}"


@pytest.fixture(autouse=True)
def today() -> Iterator[None]:
    """Every page is read on the day of the cast."""
    with time_machine.travel(AT, tick=False):
        yield


def test_is_asked_for_first(cast: Cast, make: Make) -> None:
    """Nothing is reckoned before a last day is given, and a wrong one is told."""
    make()
    page = cast.client("sol").get("/gaps/").content.decode()
    assert "Make the plan" in page
    assert "2027-02-24" in page  # thirteen weeks on
    assert "places" not in page
    for wrong in (ON, ON + timedelta(days=200)):
        page = cast.client("sol").get(f"/gaps/?until={wrong.isoformat()}").content.decode()
        assert "Give a day after today, and at most half a year ahead." in page


def test_no_gap(cast: Cast, make: Make) -> None:
    """Where every place can be filled, there is no plan; and neither where there is no job."""
    assert "No gap: 0 jobs" in cast.client("sol").get(f"/gaps/{UNTIL}").content.decode()
    card(cast, cast.ada, on=ON - timedelta(days=30))
    make()
    assert "No gap: 1 job, and every place can be filled." in cast.client("sol").get(f"/gaps/{UNTIL}").content.decode()


def test_visit_to_ask_for(cast: Cast, make: Make) -> None:
    """A person without a card is brought to one, and the visit can be asked for with everything filled in."""
    make(first_on=ON + timedelta(days=20), last_on=ON + timedelta(days=20))
    page = cast.client("sol").get(f"/gaps/{UNTIL}")
    text = page.content.decode()
    assert "1 place on one day cannot be filled as things stand." in text
    assert "With this plan all of them can." in text
    (row,) = page.context["page"].visits
    assert row.ask.startswith("/visits/ask/?scheme=")
    form = cast.client("sol").get(row.ask).context["form"]
    assert row.on.isoformat() in str(form["on"])
    assert row.people[0].name in {"Ada Crew", "Ben Crew"}
    assert "checked" in str(form["people"])


def test_asked_for_already(cast: Cast, make: Make) -> None:
    """A visit that is asked for stands beside the plan that wants it."""
    make(first_on=ON + timedelta(days=20), last_on=ON + timedelta(days=20))
    (row,) = cast.client("sol").get(f"/gaps/{UNTIL}").context["page"].visits
    later = row.on + timedelta(days=7)
    asked = {"employer": cast.northmoor, "scheme": scheme_issue().scheme, "trainer": cast.olga, "asked_by": cast.sol}
    visit = Visit.objects.create(**asked, on=later, place="Yard", asked_at=AT)
    VisitStep.objects.create(visit=visit, person_id=row.people[0].pk, step="practical")
    page = cast.client("sol").get(f"/gaps/{UNTIL}").content.decode()
    assert f"/visits/{visit.pk}/" in page
    assert "Ask for this visit" not in page
    assert date_format(later, "l j F Y") in page


def test_work_to_be_confirmed(cast: Cast, make: Make) -> None:
    """A card that runs out of confirmed work before the job is kept without a trainer."""
    card(cast, cast.ada, on=ON - timedelta(days=170))
    make(first_on=ON + timedelta(days=30), last_on=ON + timedelta(days=30))
    page = cast.client("sol").get(f"/gaps/{UNTIL}")
    assert [(one.name, one.what) for one in page.context["page"].alone] == [("Ada Crew", "have the work confirmed")]
    assert page.context["page"].visits == ()


def test_too_late(cast: Cast, make: Make) -> None:
    """What nobody can have in time is said, place by place, and whoever is away has no visit."""
    for one in (cast.ada, cast.ben):
        away = {"from_on": ON, "until_on": ON + timedelta(days=30), "entered_by": cast.sol, "entered_at": AT}
        Absence.objects.create(person=one, reason=Reason.LEAVE, **away)
    make(first_on=ON + timedelta(days=30), last_on=ON + timedelta(days=30))
    page = cast.client("sol").get(f"/gaps/{UNTIL}").content.decode()
    assert "With this plan 1 stays open." in page
    assert "25 Dec 2026, N-1, Down line: 1 holder of" in page


def test_placed_by_an_accepted_plan(cast: Cast, make: Make) -> None:
    """Who is placed at one job is not counted for another of that day: by name, day and place, until it is undone."""
    card(cast, cast.ada, on=ON - timedelta(days=30))
    day = ON + timedelta(days=20)
    make(first_on=day, last_on=day)
    accepted = crewing.ask(employer=cast.northmoor, first_on=day, last_on=day, by=cast.sol, at=AT)
    crewing.accept(plan=crewing.advance(plan=accepted), by=cast.sol, at=AT)
    make(reference="N-2", place="Up line", first_on=day, last_on=day)
    text = cast.client("sol").get(f"/gaps/{UNTIL}").content.decode()
    assert "1 place on one day cannot be filled as things stand." in text
    said = "15 Dec 2026, N-2, Up line: Ada Crew could go, but an accepted plan has them at N-1."
    assert said in text
    assert f'href="/crewing/{accepted.pk}/"' in text
    assert "Plan accepted by Sol Supervisor, 25 Nov 2026" in text
    (row,) = cast.client("sol").get(f"/gaps/{UNTIL}").context["page"].visits
    assert [one.name for one in row.people] == ["Ben Crew"]
    # Closed, the other job binds nobody.
    jobs.close(job=Job.objects.get(reference="N-1"), at=AT)
    assert "No gap: 1 job" in cast.client("sol").get(f"/gaps/{UNTIL}").content.decode()


def test_placed_for_days_on_end(cast: Cast, make: Make) -> None:
    """Days on end are told once, and of many people the first few."""
    others = [person(f"c{number}", f"Crew {number}", cast.northmoor, Role.CREW) for number in range(NAMED)]
    for one in (cast.ada, *others):
        card(cast, one, on=ON - timedelta(days=30))
    first, last = ON + timedelta(days=20), ON + timedelta(days=21)
    make(first_on=first, last_on=last, wants={scheme_issue().scheme: NAMED + 1})
    accepted = crewing.ask(employer=cast.northmoor, first_on=first, last_on=last, by=cast.sol, at=AT)
    crewing.accept(plan=crewing.advance(plan=accepted), by=cast.sol, at=AT)
    make(reference="N-2", place="Up line", first_on=first, last_on=last)
    (words,) = cast.client("sol").get(f"/gaps/{UNTIL}").context["page"].bound
    assert words.startswith("15 Dec 2026 to 16 Dec 2026, N-2, Up line: Ada Crew, Crew 0, ")
    assert words.endswith(" and 1 more could go, but an accepted plan has them at N-1.")


def test_an_administrator_chooses_an_employer(cast: Cast, make: Make) -> None:
    """Who reaches several employers chooses one; crew members and trainers have no such page."""
    assert "Choose an employer." in cast.client("max").get(f"/gaps/{UNTIL}").content.decode()
    assert "Northmoor Track" in cast.client("max").get(f"/gaps/{UNTIL}&employer={cast.northmoor.pk}").content.decode()
    assert cast.client("ada").get("/gaps/").status_code == 403
