"""The jobs, the plan, the visits and the second markings that the demo shows."""

from datetime import timedelta

import pytest
from django.utils import timezone

from certs.agreement.queries import index
from certs.crewing.models import Plan
from certs.crewing.queries import shown
from certs.gaps.queries import gap_plan
from certs.jobs.models import Job
from certs.jobs.queries import check
from certs.visits.queries import on_home
from tests import company as demo
from training.people.models import Person
from training.people.rules import Role


@pytest.mark.django_db
class TestDemo:
    def test_shows_two_jobs_that_can_be_crewed_and_one_that_cannot(self) -> None:
        """Nobody of the gang asked for holds the other scheme's card, and the page names who lacks what.

        The trainer's first page has a visit to answer and one to come. The second trainer may mark what waits for it.
        """
        now = timezone.now()
        company = demo.make(now)
        jobs = Job.objects.filter(reference__in=["HB-31", "HB-32", "HB-33", "HB-34"])
        found = {job.reference: check(job, on=now.date(), at=now) for job in jobs}
        can = {name: one.can for name, one in found.items()}
        assert can == {"HB-31": True, "HB-32": True, "HB-33": False, "HB-34": False}
        assert any(lack.step for span in found["HB-33"].spans for gap in span.gaps for lack in gap.lacks)
        steps = {lack.step for span in found["HB-34"].spans for gap in span.gaps for lack in gap.lacks}
        assert "Read these procedures: Firing, testing and recording a bond." in steps
        # The paper for leads is invigilated, so nobody can sit it before a trainer is there.
        plan = gap_plan(jobs[0].employer, until=now.date() + timedelta(days=60), on=now.date(), at=now)
        leads = [one.before for row in plan.visits if "leads" in row.scheme for one in row.people]
        assert leads
        assert all(words.endswith("sits the paper at the visit") for words in leads)
        page = shown(Plan.objects.get())
        assert (page.plan.is_made, page.changed, page.faults) == (True, False, ())
        assert any("Cathodic-protection leads" in words for words in page.open)
        visits = on_home(company.people["iver"], {Role.TRAINER}, on=now.date())
        assert visits is not None
        assert (visits.waiting, [one.visit.place for one in visits.goes]) == (1, ["Skerrow landing, test rack"])
        marked = index(company.people["runa"], Person.objects.all(), on=now.date())
        assert [(one.name, one.why_not) for one in marked.waiting] == [("Kofi Mensa", ())]
        assert [step.counts.first for step in marked.steps if step.counts.first] == [1]
