"""Pages of jobs: typed, checked, changed, closed, printed; days away kept and taken out."""

from collections.abc import Iterator
from datetime import date
from io import BytesIO

import pypdf
import pytest
import time_machine

from certs.jobs.models import Absence, Job
from certs.jobs.rules import need
from tests.cast import AT, Cast
from tests.certs.factory import card, scheme_issue
from tests.certs.jobs.conftest import Make
from training.people.models import Crew, Person

TYPED = {
    "reference": "N-7",
    "place": "Up line, 3.1 km",
    "first_on": "2026-11-30",
    "last_on": "2026-12-02",
    "bonds": "150",
    "each": "each day",
    "holders-bonds": "1",
}


@pytest.fixture(autouse=True)
def today() -> Iterator[None]:
    """Every page is read on the day of the cast."""
    with time_machine.travel(AT, tick=False):
        yield


class TestTyping:
    def test_keeps_a_job_and_shows_its_check(self, cast: Cast) -> None:
        """From the form to the answer; 150 bonds are 165 shots, and two test bonds come on top (negative binomial)."""
        card(cast, cast.ada, on=date(2026, 8, 31))
        sent = cast.client("sol").post("/jobs/new/", TYPED, follow=True)
        page = sent.content.decode()
        assert "Yes: every day can be crewed" in page
        assert "Ada Crew" in page
        assert "What a day of 150 bonds takes" in page
        assert need(150, sent.context["form"].kit()).shots == 167
        assert '<td class="number" data-label="How many">167</td>' in page
        assert "negative binomial distribution; computed" in page
        assert "local codes, your employer" in page
        job = Job.objects.get()
        assert (job.employer, job.made_by, job.each_day) == (cast.northmoor, cast.sol, True)

    @pytest.mark.parametrize(
        ("wrong", "says"),
        [
            ({"reference": ""}, "Give the name or the reference"),
            ({"first_on": "30.11.2026"}, "Give a day, such as 2026-11-30."),
            ({"last_on": "2026-11-29"}, "Give a last day that is not before the first."),
            ({"last_on": "2027-11-29"}, "A job lasts at most 92 days."),
            ({"bonds": "0"}, "Give a whole number from 1 to 1900."),
            ({"bonds": "12.5"}, "Give a whole number from 1 to 1900."),
            ({"holders-bonds": ""}, "Say how many holders are wanted"),
            ({"holders-bonds": "21"}, "Give a whole number from 1 to 20."),
            ({"each": ""}, "Say whether in all or on each day."),
            ({"place": "a\0b"}, "Null characters are not allowed."),
            ({"first_on": "2026-11-23", "last_on": "2026-11-24"}, "These days are over. Give today or a later day."),
            ({"last_on": "0026-12-02"}, "Check the year, and type all four digits"),
            ({"first_on": "9999-12-30", "last_on": "9999-12-31"}, "Check the year, and type all four digits"),
        ],
    )
    def test_says_what_to_put_right(self, cast: Cast, wrong: dict[str, str], says: str) -> None:
        """Beside the field, and nothing is kept or lost."""
        scheme_issue()
        page = cast.client("sol").post("/jobs/new/", TYPED | wrong)
        assert says in page.content.decode()
        assert "Error:" in page.content.decode()
        assert not Job.objects.exists()

    def test_says_that_the_reference_is_taken(self, cast: Cast, make: Make) -> None:
        make(reference="N-7")
        sent = cast.client("sol").post("/jobs/new/", TYPED)
        assert "already has a job of that reference" in sent.content.decode()
        assert [*sent.context["form"].errors] == ["reference"]

    def test_is_changed_closed_and_opened_again(self, cast: Cast, make: Make) -> None:
        job, sol = make(crew=cast.crew), cast.client("sol")
        assert 'value="N-1"' in sol.get(f"/jobs/{job.pk}/change/").content.decode()
        sol.post(f"/jobs/{job.pk}/change/", TYPED)
        job.refresh_from_db()
        assert (job.reference, job.crew, job.bonds) == ("N-7", None, 150)
        sol.post(f"/jobs/{job.pk}/close/")
        job.refresh_from_db()
        assert job.closed_at == AT
        assert "Over or closed" in sol.get("/jobs/").content.decode()
        sol.post(f"/jobs/{job.pk}/reopen/")
        job.refresh_from_db()
        assert job.closed_at is None

    def test_keeps_a_crew_that_went_out_of_use(self, cast: Cast, make: Make) -> None:
        """Changing the number of bonds must not take the crew off; a new job is not offered it."""
        job, sol, option = make(crew=cast.crew), cast.client("sol"), "Northmoor Track: Gang 1</option>"
        Crew.objects.update(is_used=False)
        assert option in sol.get(f"/jobs/{job.pk}/change/").text
        assert option not in sol.get("/jobs/new/").text
        sol.post(f"/jobs/{job.pk}/change/", TYPED | {"crew": cast.crew.pk})
        job.refresh_from_db()
        assert (job.reference, job.crew) == ("N-7", cast.crew)

    def test_says_that_it_is_over_and_answers_nothing_else(self, cast: Cast, make: Make) -> None:
        job = make(first_on=date(2026, 11, 20), last_on=date(2026, 11, 24))
        page = cast.client("sol").get(f"/jobs/{job.pk}/").content.decode()
        assert "The days of this job are over." in page
        assert "can be crewed, as things stand today" not in page

    def test_asks_an_administrator_for_the_employer(self, cast: Cast, make: Make) -> None:
        """And refuses another employer's crew."""
        job = make()
        page = cast.client("max").post(f"/jobs/{job.pk}/change/", TYPED | {"employer": "", "crew": cast.crew.pk})
        assert "Choose an employer." in page.content.decode()
        wrong = TYPED | {"employer": cast.elsewhere.pk, "crew": cast.crew.pk}
        assert "This crew is of another employer." in cast.client("max").post("/jobs/new/", wrong).content.decode()
        assert cast.client("max").post("/jobs/new/", wrong | {"crew": ""}).status_code == 302


class TestKit:
    def test_reckons_again_with_other_figures(self, cast: Cast, make: Make) -> None:
        """At 20 % repeats the shots are more; what cannot be read is said, and no figure shown."""
        job, sol = make(cold=True), cast.client("sol")
        page = sol.get(f"/jobs/{job.pk}/", {"repeats": "20", "cells": "-5"}).content.decode()
        assert "Current of a shot with cold cells" in page
        assert "charge them in the warm" in page
        page = sol.get(f"/jobs/{job.pk}/", {"repeats": "x"}).content.decode()
        assert "Give a number from 0 to 30." in page
        assert "Charged packs" not in page
        assert sol.get(f"/jobs/{job.pk}/sheet.pdf", {"repeats": "x"}).status_code == 302

    def test_says_when_the_sums_do_not_hold(self, cast: Cast, make: Make) -> None:
        """A pack of 60 Ah and shots of a moment: more shots than the sums are made for."""
        asked = {"capacity": "60", "shot_time": "0.8", "current": "150"}
        page = cast.client("sol").get(f"/jobs/{make(bonds=10).pk}/", asked)
        assert "must be from 1 to 1000" in page.content.decode()

    def test_warns_when_a_night_is_too_short(self, cast: Cast, make: Make) -> None:
        page = cast.client("sol").get(f"/jobs/{make(night=True).pk}/", {"hours": "3"}).content.decode()
        assert "does not fill a pack" in page
        assert "Night changes none of these figures." in page


class TestSheet:
    def test_is_one_page(self, cast: Cast, make: Make) -> None:
        """Cold, night, two schemes, cover and many spans: one page, with who goes and what they take."""
        card(cast, cast.ada, on=date(2026, 8, 31))
        issues = [scheme_issue(), scheme_issue(slug="leads", title="Cathodic-protection leads by pin brazing")]
        wants = {issue.scheme: 10 for issue in issues}
        job = make(cold=True, night=True, cover=True, wants=wants, last_on=date(2026, 12, 31))
        for day in range(1, 28, 2):
            away = {"reason": "leave", "from_on": date(2026, 12, day), "until_on": date(2026, 12, day)}
            Absence.objects.create(person=cast.ada, entered_by=cast.sol, entered_at=AT, **away)
        sent = cast.client("sol").get(f"/jobs/{job.pk}/sheet.pdf")
        assert sent["Content-Type"] == "application/pdf"
        (page,) = pypdf.PdfReader(BytesIO(sent.content)).pages
        text = page.extract_text()
        assert "Ada Crew" in text
        assert "Charged packs" in text
        assert "local codes" in text


class TestAway:
    def test_keeps_and_takes_out(self, cast: Cast) -> None:
        sol = cast.client("sol")
        typed = {"person": cast.ada.pk, "reason": "illness", "from_on": "2026-11-26", "until_on": "2026-11-27"}
        kept = sol.post("/jobs/away/", typed, follow=True).content.decode()
        assert "Kept: Ada Crew is away from 26 Nov 2026 to 27 Nov 2026." in kept
        again = sol.post("/jobs/away/", typed).content.decode()
        assert "already away on some of these days" in again
        gone = sol.post(f"/jobs/away/{Absence.objects.get().pk}/out/", follow=True).content.decode()
        assert "Taken out: Ada Crew is no longer away from 26 Nov 2026 to 27 Nov 2026." in gone
        assert not Absence.objects.exists()

    @pytest.mark.parametrize(
        ("wrong", "says"),
        [
            ({"until_on": "2026-11-25"}, "Give a last day that is not before the first."),
            ({"until_on": "2028-11-25"}, "Give at most a year at a time."),
            ({"from_on": "2026-11-20", "until_on": "2026-11-24"}, "These days are over. Give today or a later day."),
            ({"from_on": "0026-11-26"}, "Check the year, and type all four digits"),
            ({"reason": "no"}, "Choose one of the reasons."),
            ({"person": ""}, "Choose a person."),
        ],
    )
    def test_says_what_to_put_right(self, cast: Cast, wrong: dict[str, str], says: str) -> None:
        typed = {"person": cast.ada.pk, "reason": "leave", "from_on": "2026-11-26", "until_on": "2026-11-27"}
        assert says in cast.client("sol").post("/jobs/away/", typed | wrong).content.decode()

    def test_offers_own_people_only(self, cast: Cast) -> None:
        """Another employer's crew member is nobody's to send; who keeps several employers is told which one."""
        Person.objects.filter(pk=cast.ada.pk).update(number="N-7")
        assert ">Ada Crew, N-7</option>" in cast.client("sol").get("/jobs/away/").content.decode()
        assert ">Ada Crew, Northmoor Track</option>" in cast.client("max").get("/jobs/away/").content.decode()
        typed = {"person": cast.quin.pk, "reason": "leave", "from_on": "2026-11-26", "until_on": "2026-11-27"}
        assert "Choose a person from the list." in cast.client("sol").post("/jobs/away/", typed).content.decode()


class TestAccess:
    @pytest.mark.parametrize(
        ("who", "status"), [("nobody", 302), ("ada", 403), ("tess", 403), ("sol", 200), ("rex", 404), ("max", 200)]
    )
    def test_of_a_job(self, cast: Cast, make: Make, who: str, status: int) -> None:
        job = make()
        for url in (f"/jobs/{job.pk}/", f"/jobs/{job.pk}/change/"):
            assert cast.client(who).get(url).status_code == status
