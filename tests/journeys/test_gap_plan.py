"""A gap in Chromium: a supervisor makes the gap plan and asks for a visit, the trainer accepts, the calendar has it."""

import re

from django.utils import timezone
from icalendar import Calendar
from playwright.sync_api import expect

from certs.management.planning import add_job
from certs.visits.models import Visit
from tests.journeys.walk import Site

JOB = {"reference": "GP-1", "place": "Mere siding", "in_days": 21, "days": 2, "bonds": 40, "holders": {"rail-bonds": 1}}


class TestGapPlan:
    def test_goes_from_the_gap_to_the_calendar(self, site: Site) -> None:
        """What the plan proposes is what the trainer is asked, and what their calendar holds once it is accepted."""
        now, piet = timezone.now(), site.company.people["piet"]
        add_job(JOB, by=piet, at=now, now=now)
        supervisor = site.enter("piet")
        supervisor.goto("/visits/")
        supervisor.get_by_role("link", name="Make the gap plan").click()
        supervisor.get_by_role("button", name="Make the plan").click()
        supervisor.get_by_role("link", name="Ask for this visit").first.click(timeout=60_000)
        expect(supervisor.get_by_role("heading", level=1)).to_have_text("Ask for a visit")
        supervisor.get_by_label("Place").fill("Mere yard, training track")
        supervisor.get_by_label("Trainer").select_option(str(site.company.people["iver"].pk))
        supervisor.get_by_role("button", name="Ask the trainer").click()
        expect(supervisor.get_by_role("main")).to_contain_text("Asked, no answer yet")

        visit = Visit.objects.get(place="Mere yard, training track")
        trainer = site.enter("iver", width=360)
        trainer.goto("/visits/")
        trainer.get_by_role("row").filter(has_text="Mere yard").get_by_role("link").click()
        trainer.get_by_role("button", name="Accept the visit").click()
        expect(trainer.get_by_role("main")).to_contain_text("Accepted")

        with trainer.expect_download() as sent:
            trainer.get_by_role("link", name="Put it in my calendar (file)").click()
        (entry,) = Calendar.from_ical(sent.value.path().read_bytes()).walk("VEVENT")
        assert entry["DTSTART"].dt == visit.on
        trainer.goto("/calendar/")
        trainer.get_by_role("button", name=re.compile("Make")).click()
        expect(trainer.get_by_role("main")).to_contain_text(".ics")

        supervisor.goto("/visits/")
        expect(supervisor.get_by_role("row").filter(has_text="Mere yard")).to_contain_text("Accepted")
