"""A supervisor types a job and checks it; and has a plan made, changes it by hand and accepts it."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from certs.crewing.models import Plan
from certs.management import replay
from tests.journeys.walk import PAPER, Site

RAIL = "rail-bonds"


def examine(site: Site, *names: str) -> None:
    """Bring people to their cards, three months ago, as the demo does."""
    acts: list[dict[str, object]] = []
    for name in names:
        acts += [
            {"days_ago": 95, "do": "reads", "who": name, "scheme": RAIL},
            {"days_ago": 93, "do": "sits", "who": name, "paper": PAPER, "misses": 0, "invigilator": "iver"},
            {"days_ago": 90, "do": "signs", "who": "iver", "candidate": name, "scheme": RAIL, "place": "Siding"},
        ]
    for _done in replay.replay(site.company, {"act": acts}):
        pass


def type_job(page: Page, reference: str, *, holders: int) -> None:
    """Fill in the form of a job of three days from tomorrow on, and send it."""
    first = timezone.localdate() + timedelta(days=1)
    page.goto("/jobs/")
    page.get_by_role("link", name="New job").click()
    page.get_by_label("Name or reference of the job").fill(reference)
    page.get_by_label("Place").fill("Down line, 14.2 km")
    page.get_by_label("First day").fill(first.isoformat())
    page.get_by_label("Last day").fill((first + timedelta(days=2)).isoformat())
    page.get_by_label("Bonds to make").fill("150")
    page.get_by_label("on each day", exact=True).check()
    page.get_by_label("Holders wanted on each day: Rail bonds").fill(str(holders))
    page.get_by_label("In the cold").check()
    page.get_by_label("A supervisor has to be there").check()
    page.get_by_role("button", name="Keep the job").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"Job {reference}")


@pytest.mark.django_db(transaction=True)
class TestJob:
    def test_is_typed_checked_and_mended(self, site: Site) -> None:
        """One holder too few: the page names who lacks what. One wanted: it can be crewed, until that one is away."""
        examine(site, "moira")
        page = site.enter("piet", width=360)
        type_job(page, "J-1", holders=2)
        main = page.get_by_role("main")
        expect(main).to_contain_text("No: 0 of 3 days can be crewed")
        expect(main.get_by_role("row", name="Tomas Brandvik")).to_contain_text("Read these procedures:")
        expect(main).to_contain_text("What a day of 150 bonds takes")

        page.get_by_role("link", name="Change the job").click()
        page.get_by_label("Holders wanted on each day: Rail bonds").fill("1")
        page.get_by_role("button", name="Keep the job").click()
        expect(main).to_contain_text("Yes: every day can be crewed")
        expect(main).to_contain_text("Moira Tarn")

        page.get_by_text("What is assumed of packs, shots and chargers").click()
        page.get_by_label("Shots to be repeated, %").fill("6")
        page.get_by_label("Test bonds at the start of the day").fill("0")
        page.get_by_label("Temperature of the cells").fill("15")
        page.get_by_role("button", name="Reckon again").click()
        # 165 shots for 150 bonds at 6 % repeats and 95 % confidence: negative binomial, checked with scipy.
        expect(main.get_by_role("row", name="Shots, enough on 95 days of 100")).to_contain_text("165")
        assert page.request.get(str(page.get_by_role("link", name="Print crew").get_attribute("href"))).ok

        page.goto("/jobs/away/")
        page.get_by_label("Who is away").select_option(label="Moira Tarn")
        page.get_by_label("leave").check()
        away = (timezone.localdate() + timedelta(days=2)).isoformat()
        page.get_by_label("First day away").fill(away)
        page.get_by_label("Last day away").fill(away)
        page.get_by_role("button", name="Keep", exact=True).click()
        expect(page.get_by_role("status").first).to_contain_text("Kept: Moira Tarn is away from")
        page.goto("/jobs/")
        page.get_by_role("link", name="J-1").click()
        expect(main).to_contain_text("No: 2 of 3 days can be crewed")


@pytest.mark.django_db(transaction=True)
class TestPlan:
    def test_is_made_changed_and_accepted(self, site: Site) -> None:
        """The page goes on by itself; a change that breaks a rule says which; one that breaks none is kept."""
        examine(site, "moira", "tomas")
        page = site.enter("piet")
        type_job(page, "J-2", holders=1)
        page.goto("/crewing/")
        page.get_by_label("Weeks").select_option("1")
        page.get_by_role("button", name="Propose a plan").click()
        main = page.get_by_role("main")
        expect(main).to_contain_text("6 of 6 places are filled.")

        row = Plan.objects.get().turns.select_related("person").filter(scheme=RAIL).order_by("on").first()
        assert row is not None
        other = next(name for name in ("Moira Tarn", "Tomas Brandvik") if name != row.person.name)
        page.get_by_role("link", name=f"Instead of {row.person.name}").first.click()
        page.get_by_label("Who takes this place").select_option(label="Piet Anselm")
        page.get_by_role("button", name="Change").click()
        expect(page.get_by_role("alert")).to_contain_text("Piet Anselm has no card for Rail bonds by pin brazing")
        page.get_by_label("Who takes this place").select_option(label=other)
        page.get_by_role("button", name="Change").click()
        expect(main.get_by_role("row", name=f"{other} (by hand)")).to_be_visible()

        page.get_by_role("button", name="Accept this plan").click()
        expect(main).to_contain_text("Accepted by Piet Anselm")
        expect(page.get_by_role("link", name="Instead of")).to_have_count(0)
