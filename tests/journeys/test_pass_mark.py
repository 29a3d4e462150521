"""A panel on a pass mark: opened from the list, judged twice by five trainers, and its advice read."""

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP, generate_totp_secret
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Page, expect

from certs.management.replay import Company
from tests.browser import fresh, let_in
from tests.journeys.walk import PAPER, Site
from training.people.models import RoleHeld
from training.people.rules import Role

# What each judge expects of every question, by round: means of 85 and 87 of a hundred.
EXPECTED = {"iver": (70, 85), "edda": (80, 86), "moira": (85, 87), "tomas": (95, 88), "ines": (95, 89)}


def train(company: Company) -> None:
    """Make trainers of those of the five who are none."""
    for name in EXPECTED:
        RoleHeld.objects.get_or_create(
            person=company.people[name], role=Role.TRAINER, defaults={"from_on": timezone.localdate()}
        )
        if not Authenticator.objects.filter(user=company.people[name]).exists():
            TOTP.activate(company.people[name], generate_totp_secret())
            RecoveryCodes.activate(company.people[name])


def enter(site: Site, name: str) -> Page:
    """Open the site as a judge, without the way through the sign-in page."""
    client = Client()
    client.force_login(site.company.people[name])
    return let_in(fresh(site.browser, site.base, width=360 if name == "moira" else 1280), site.base, client)


def judge(page: Page, percent: int) -> None:
    """Find the sheet from the list and give every question the same estimate."""
    page.goto("/panels/")
    page.get_by_role("link", name="Give your estimates").click()
    # The button closes the form: once it is there, so is every field of a page still arriving.
    expect(page.get_by_role("button", name="Keep estimates")).to_be_visible()
    page.get_by_label("just-competent persons").evaluate_all(
        "(fields, percent) => fields.forEach((field) => { field.value = percent })", str(percent)
    )
    page.get_by_role("button", name="Keep estimates").click()
    expect(page.get_by_role("status").first).to_contain_text("Your estimates are kept")


def close(page: Page, number: int) -> None:
    """Close the open round from the panel's page."""
    page.get_by_role("link", name=f"Close round {number}").click()
    page.get_by_role("button", name="Close the round").click()
    expect(page.get_by_role("heading", name=f"What round {number} came to")).to_be_visible()


@pytest.mark.django_db(transaction=True)
class TestPassMark:
    def test_is_judged_twice_and_advised(self, site: Site) -> None:
        """Twenty marks: the second round means 17.4, so 18 of 20, and 0.9 is what the file should say."""
        train(site.company)
        runs = site.enter("nadia")
        runs.get_by_text("Menu", exact=True).click()
        runs.get_by_role("navigation", name="Menu").get_by_role("link", name="Pass marks").click()
        runs.locator(f"a[href='/panels/open/{PAPER}/']").click()
        for name in EXPECTED:
            runs.get_by_label(site.company.people[name].name).check()
        runs.get_by_role("button", name="Open the panel").click()
        panel = runs.url

        judges = {name: enter(site, name) for name in EXPECTED}
        for number in (1, 2):
            for name, page in judges.items():
                judge(page, EXPECTED[name][number - 1])
            runs.goto(panel)
            expect(runs.get_by_text("finished", exact=True)).to_have_count(5)
            close(runs, number)
            expect(runs.get_by_text("14.00; 16.00; 17.00; 19.00; 19.00.")).to_be_visible()

        runs.get_by_label("What was said").fill("Round 1: two judges had thought of their own crews.")
        runs.get_by_role("button", name="Keep the minutes").click()
        judges["moira"].goto(panel)
        main = judges["moira"].get_by_role("main")
        expect(main).to_contain_text("Pass from 18 of 20 marks.")
        expect(main).to_contain_text('pass = "0.9"')
        expect(main).to_contain_text("two judges had thought of their own crews")
