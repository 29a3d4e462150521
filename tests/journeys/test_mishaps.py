"""What goes wrong on the way: a closed browser, an answer nobody can read, a half-filled sheet, no JavaScript."""

import re

from playwright.sync_api import expect

from certs.signoffs.models import ReceivedSheet, Signoff
from tests.browser import sign_in
from tests.journeys.walk import (
    Site,
    answer_all,
    fill_sheet,
    hand_in,
    make_ready,
    send,
    sign_sheet,
    start,
)
from training.quizzes.models import Sitting, SittingItem


def with_number(sitting: Sitting) -> SittingItem:
    """Return a question of the paper that asks for a number."""
    return next(item for item in sitting.items.all() if item.shown["parts"][0]["answer"] == "number")


def field_of(item: SittingItem) -> str:
    """Return the selector of a question's first field."""
    return f"[name='q{item.position}-{item.shown['parts'][0]['name']}']"


class TestClosedBrowser:
    def test_finds_the_answer_again(self, site: Site) -> None:
        """What the page called kept is there when the paper is opened again, on any device."""
        page = site.enter("moira")
        field = field_of(with_number(start(page)))
        page.locator(field).fill("12,5")
        page.locator(field).blur()
        expect(page.locator("[data-kept]")).to_contain_text("Kept")
        page.context.close()

        again = site.enter("moira", width=360)
        again.get_by_role("link", name="Go on with the paper").click()
        expect(again.locator(field)).to_have_value("12,5")
        assert Sitting.objects.count() == 1


class TestUnreadableAnswer:
    def test_is_asked_again_and_costs_nothing(self, site: Site) -> None:
        """The sentence stands beside the field, what was typed stays, and the paper stays open."""
        page = site.enter("moira")
        sitting = start(page)
        answer_all(page, sitting)
        field = page.locator(field_of(with_number(sitting)))
        right = field.input_value()
        field.fill("about 1,250")
        page.get_by_role("button", name="Look it over").click()
        expect(page).to_have_title(re.compile("^Error: "))
        expect(field).to_have_value("about 1,250")
        expect(field).to_have_attribute("aria-invalid", "true")
        sitting.refresh_from_db()
        assert sitting.handed_in_at is None
        field.fill(right)
        hand_in(page)
        expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(": passed$"))


class TestHalfFilledSheet:
    def test_keeps_what_was_typed(self, site: Site) -> None:
        """A reading that is missing is asked for beside its field; the other forty stay."""
        make_ready(site, "moira")
        trainer = site.enter("iver", width=360)
        trainer.goto("/signoffs/")
        trainer.get_by_role("link", name="Open the sheet for Moira Tarn").click()
        fill_sheet(trainer)
        reading = trainer.get_by_label("Bond 2: Reading with the current reversed")
        reading.fill("quite low")
        trainer.get_by_role("button", name="Work it out").last.click()
        expect(trainer).to_have_title(re.compile("^Error: "))
        expect(reading).to_have_value("quite low")
        expect(trainer.get_by_label("Bond 1: Forward reading")).to_have_value("730")
        assert not ReceivedSheet.objects.exists()
        reading.fill("−470")
        send(trainer)
        assert not Signoff.objects.exists()
        sign_sheet(trainer)
        assert Signoff.objects.get().passed


class TestWithoutJavaScript:
    def test_a_paper_is_kept_and_handed_in(self, site: Site) -> None:
        """Plain forms do the whole of it."""
        context = site.browser.new_context(base_url=site.base, java_script_enabled=False)
        page = sign_in(context, "moira")
        sitting = start(page)
        field = field_of(with_number(sitting))
        page.locator(field).fill("12,5")
        page.get_by_role("button", name="Keep answers").click()
        expect(page.locator(field)).to_have_value("12,5")
        answer_all(page, sitting)
        hand_in(page)
        expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(": passed$"))

    def test_a_number_is_checked(self, site: Site) -> None:
        """An unknown number and a malformed one get the same answer."""
        context = site.browser.new_context(base_url=site.base, java_script_enabled=False)
        page, answers = context.new_page(), []
        for number in ("FB-2345-6789", "hello"):
            page.goto("/check/")
            page.get_by_label("Card number").fill(number)
            page.get_by_role("button", name="Check the number").click()
            answers.append(re.sub(r"\d\d:\d\d", "", page.get_by_role("main").inner_text()))
        assert "Do not accept" in answers[0]
        assert answers[0] == answers[1]
