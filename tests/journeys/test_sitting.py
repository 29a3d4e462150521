"""A paper in Chromium: more time settled beforehand, the signal lost and the server killed, another device, the end."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

import pytest
from django.db import connection
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from certs.management.replay import Company, password
from tests import company as demo
from tests.browser import fresh, sign_in
from tests.journeys.killable import Killable
from tests.journeys.test_mishaps import field_of, with_number
from tests.journeys.walk import PAPER, Site, answer_all, hand_in, start, write
from tests.keys import make_keys
from training.quizzes import operations
from training.quizzes.models import Answer, Paper, Sitting


@dataclass
class Served:
    """The company behind a server that can be killed."""

    company: Company
    server: Killable
    browser: Browser

    def enter(self, username: str, *, width: int = 1280) -> Page:
        """Sign in as someone, in a browser profile of their own."""
        return sign_in(fresh(self.browser, self.server.base, width=width), username)


@pytest.fixture
def served(transactional_db: None, browser: Browser, capsys: pytest.CaptureFixture[str]) -> Iterator[Served]:
    """The people of the demo before they have done anything, behind gunicorn on the test's own database."""
    company = demo.settle(timezone.now())
    make_keys()
    connection.close()
    server = Killable(connection.settings_dict)
    yield Served(company, server, browser)
    for context in browser.contexts:
        context.close()
    server.kill()


def kept(page: Page, words: str) -> None:
    """Wait until the page says so about what was typed."""
    expect(page.locator("[data-kept]")).to_contain_text(words, timeout=30_000)


class TestLostSignal:
    def test_goes_on_with_another_device_and_all_that_was_typed(self, served: Served) -> None:
        """Seventy-five minutes and a quarter more; the server dies under an answer; a phone finishes the paper."""
        moira, paper = served.company.people["moira"], Paper.objects.get(slug=PAPER)
        operations.accommodate(
            person=moira, paper=paper, factor=Decimal("1.25"), break_minutes=0, reason="Reads slowly.",
            by=served.company.people["iver"], at=timezone.now(),
        )  # fmt: skip
        desk = served.enter("moira")
        sitting = start(desk)
        assert (sitting.due_at - sitting.opened_at).total_seconds() == 94 * 60  # 75 x 1.25 = 93.75, rounded up
        item = with_number(sitting)
        part = item.shown["parts"][0]["name"]  # a question may ask for more, which stays empty
        field = desk.locator(field_of(item))
        field.fill("12,5")
        kept(desk, "Kept")

        served.server.kill()
        field.fill("13,5")
        kept(desk, "Not kept: no signal")
        expect(field).to_have_value("13,5")
        desk.get_by_role("button", name="Keep answers").click()
        expect(field).to_have_value("13,5")  # no error page in place of what was typed
        assert Answer.objects.get().given[part] == "12,5"
        served.server.start()
        kept(desk, "Kept")  # sent by itself, without a touch
        assert Answer.objects.get().given[part] == "13,5"

        phone = served.enter("moira", width=360)
        phone.get_by_role("link", name="Go on with the paper").click()
        expect(phone.locator(field_of(item))).to_have_value("13,5")
        answer_all(phone, sitting)
        kept(phone, "Kept")
        field.fill("14,5")
        kept(desk, "Newer answers are already kept for questions 1, 2")
        hand_in(phone)
        expect(phone.get_by_role("heading", level=1)).to_have_text(re.compile(": passed$"))
        sitting.refresh_from_db()
        assert sitting.passed
        field.fill("15,5")
        kept(desk, "The paper is closed")


class TestSignedOut:
    def test_keeps_what_was_typed_once_signed_in_again(self, site: Site) -> None:
        """The session ends under an answer; signing in on another page is enough."""
        page = site.enter("moira", width=360)
        item = with_number(start(page))
        page.context.clear_cookies()
        page.locator(field_of(item)).fill("12,5")
        kept(page, "Not kept: you are signed out.")
        sign_in(page.context, "moira")
        kept(page, "Kept")
        expect(page.locator(field_of(item))).to_have_value("12,5")
        assert Answer.objects.get().given[item.shown["parts"][0]["name"]] == "12,5"


class TestInvigilated:
    def test_waits_until_a_trainer_has_looked_at_who_sits_down(self, site: Site) -> None:
        """The trainer types their own password on the candidate's phone, and stays signed out of it."""
        page = site.enter("moira", width=360)
        page.goto("/papers/lead-theory/start/")
        page.get_by_label("I have read these rules").check()
        page.get_by_role("button", name="Agree, then call the trainer").click()
        page.get_by_role("link", name="The trainer is here").click()
        page.get_by_label("Trainer's user name").fill("iver")
        page.get_by_label("Trainer's password").fill("not it")
        page.get_by_label("I know this candidate").check()
        page.get_by_role("button", name="Confirm").click()
        expect(page).to_have_title(re.compile("^Error: "))
        page.get_by_label("Trainer's password").fill(password("iver"))
        page.get_by_role("button", name="Confirm").click()
        expect(page.get_by_role("main")).to_contain_text("Iver Holmane confirmed who you are.")
        page.get_by_role("button", name="I keep to the rules: start the paper now").click()
        expect(page.get_by_role("heading", level=2, name="Question 1 of")).to_be_visible()
        assert Sitting.objects.get().admission.invigilator == site.company.people["iver"]


class TestOneAtATime:
    def test_walks_the_paper_by_its_keys_alone(self, site: Site) -> None:
        """Tab and Enter reach every question, the flag and the hand-in."""
        page = site.enter("moira", width=360)
        sitting = start(page)
        page.get_by_role("link", name="One question a page").press("Enter")
        for item in sitting.items.order_by("position"):
            expect(page.get_by_role("heading", level=2, name=f"Question {item.position} of")).to_be_visible()
            write(page, item)
            if item.position == 2:
                page.get_by_label("Flag question 2").press("Space")
            page.get_by_role("button", name=re.compile("Keep and go on|Look it over")).press("Enter")
        expect(page.get_by_role("heading", name="Flagged, to come back to")).to_be_visible()
        page.get_by_role("link", name="Question 2").press("Enter")
        expect(page.get_by_label("Flag question 2")).to_be_checked()
        page.get_by_role("link", name="What is empty").click()
        page.get_by_role("button", name="Hand in").press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(": passed$"))


# What the keys show, worked by hand in the order they are pressed: four functions, root, sign and memory.
SUMS = [
    ("2+3*4=", "20"),
    ("0.1+0.2=", "0.3"),
    ("1/3=", "0.333333333333"),
    ("17.24*1.2/120=", "0.1724"),  # mohm of 1.2 m copper of 120 mm2 at 0.01724 ohm mm2/m, a hundred times
    ("2 root", "1.41421356237"),
    ("9 sign root", "No root of a number below zero"),
    ("5/0=", "Cannot divide by zero"),
    ("7+-2=", "5"),
    ("400 M+ 25 M- C MR", "375"),
    ("12 back 5=", "15"),
]


class TestCalculator:
    def test_works_without_the_network_by_tapping_and_typing(self, site: Site) -> None:
        """Keys big enough for a glove, sums as a pocket calculator gives them."""
        page = site.enter("moira", width=360)
        start(page)
        page.context.set_offline(True)
        page.get_by_text("Calculator", exact=True).click()
        box = page.locator("[data-calculator]")
        shows = box.locator("[data-shows]")
        for keys, wanted in SUMS:
            box.locator("[data-key='C']").click()
            box.locator("[data-key='MC']").click()
            for key in re.findall(r"root|sign|back|M\+|M-|MR|C|[0-9.+*/=-]", keys):
                box.locator(f"[data-key='{key}']").click()
            expect(shows).to_have_text(wanted)
        box.locator("[data-key='C']").press("C")
        page.keyboard.type("12,5*2")
        page.keyboard.press("Enter")
        expect(shows).to_have_text("25")
        sizes = [key.bounding_box() for key in box.locator(".key").all()]
        assert all(size and size["width"] >= 44 and size["height"] >= 44 for size in sizes)
        assert Sitting.objects.get().handed_in_at is None
