"""What the script adds to a sheet that works without it, in Chromium on a narrow phone."""

import re
from collections.abc import Iterator

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from certs.signoffs.models import ReceivedSheet
from tests.browser import fresh, let_in
from tests.cast import Cast, assemble
from tests.certs.signoffs.making import lay

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def cast() -> Cast:
    """The cast with a sheet to fill in: Ada's, by Olga."""
    return lay(assemble()).cast


@pytest.fixture
def page(live_server: LiveServer, browser: Browser, cast: Cast) -> Iterator[Page]:
    """The sheet on a phone of 320 px."""
    context = fresh(browser, live_server.url, width=320)
    opened = let_in(context, live_server.url, cast.client("olga"))
    opened.goto(reverse("signoffs:sheet", args=[cast.ada.pk, "straight"]))
    expect(opened.get_by_role("button", name="More: Bond 1: Air, °C")).to_be_visible()
    # From then on what is typed is kept on the phone.
    expect(opened.locator("form [data-kept]")).to_be_attached()
    yield opened
    context.close()


class TestSteps:
    def test_go_below_zero_and_back(self, page: Page) -> None:
        """The box goes with the number, so that nobody needs a minus key."""
        air, below = page.locator("[name='bond_1_air_c']"), page.locator("[name='bond_1_air_below']")
        air.fill("1")
        for _ in range(3):
            page.get_by_role("button", name="Less: Bond 1: Air, °C").click()
        expect(air).to_have_value("2")
        expect(below).to_be_checked()
        for _ in range(2):
            page.get_by_role("button", name="More: Bond 1: Air, °C").click()
        expect(air).to_have_value("0")
        expect(below).not_to_be_checked()


class TestCarriedOn:
    def test_shows_what_the_bond_before_says(self, page: Page) -> None:
        """The reader sees what will be kept, and can change it."""
        for name, text in {"pin_lot": "L-7", "air_c": "12", "burn": "flush", "current_a": "10"}.items():
            page.locator(f"[name='bond_1_{name}']").fill(text)
        page.locator("[name='bond_1_air_below']").check()
        page.get_by_label("Both leads in the circuit").first.check()
        page.locator("[name='bond_2_pack_v']").fill("39,6")
        expect(page.locator("[name='bond_2_pin_lot']")).to_have_value("L-7")
        expect(page.locator("[name='bond_2_air_c']")).to_have_value("12")
        expect(page.locator("[name='bond_2_air_below']")).to_be_checked()
        expect(page.locator("[name='bond_2_leads'][value='in']")).to_be_checked()
        page.locator("[name='bond_3_pack_v']").fill("39,6")
        expect(page.locator("[name='bond_3_burn']")).to_have_value("flush")

    def test_an_added_bond_comes_back_with_the_rest(self, page: Page) -> None:
        """What was typed into it is kept on the phone as well."""
        page.get_by_role("button", name="Add a bond").click()
        expect(page.locator("[name='bond_4_pack_v']")).to_be_focused()
        page.locator("[name='bond_4_pack_v']").fill("39,9")
        page.locator("[name='place']").fill("Yard 3")
        expect(page.locator("[data-kept]").last).to_have_text("Kept on this phone")
        page.reload()
        expect(page.locator("[name='place']")).to_have_value("Yard 3")
        expect(page.locator("[name='bond_4_pack_v']")).to_have_value("39,9")


class TestAllGood:
    def test_ticks_each_but_nothing_that_must_be_right(self, page: Page) -> None:
        """Untouched, the critical ones are empty as they were."""
        page.get_by_role("button", name="All others seen done right").click()
        for slug, ticked in {"pack": False, "earth": False, "kit": True, "stance": True}.items():
            expect(page.locator(f"[name='check_{slug}']")).to_be_checked(checked=ticked)
        page.get_by_role("button", name="Bond 2: all four look good").click()
        assert page.locator("[name^='bond_2_look_']:checked").count() == 4
        assert page.locator("[name^='bond_1_look_']:checked").count() == 0


class TestSending:
    def test_puts_down_the_end_as_it_is_sent(self, page: Page, cast: Cast) -> None:
        """A time that was written stays; an empty one is now."""
        texts = {
            "place": "Yard", "volt_meter": "M-1", "set_meter": "S-1", "bond_1_pin_lot": "L-7", "bond_1_air_c": "−12",
            "bond_1_cell_c": "4", "bond_1_burn": "flush", "bond_1_current_a": "10",
        }  # fmt: skip
        for n in (1, 2, 3):
            texts |= {f"bond_{n}_pack_v": "39,6", f"bond_{n}_forward_uv": "730", f"bond_{n}_reversed_uv": "-470"}
        for name, text in texts.items():
            page.locator(f"[name='{name}']").fill(text)
        for name in ("volt_until", "set_until"):
            page.locator(f"[name='{name}']").fill("2099-01-01")
        page.get_by_label("Both leads in the circuit").first.check()
        page.get_by_role("button", name="Send to be signed").click()
        expect(page.get_by_text("Sent. It is on record.")).to_be_visible()
        kept = ReceivedSheet.objects.get()
        assert re.fullmatch(r"\d\d:\d\d", kept.reading["stopped"])
        assert [one["burn"] for one in kept.reading["bonds"]] == ["flush"] * 3


class TestSizes:
    def test_of_controls_and_of_the_page(self, page: Page) -> None:
        """Main controls 60 px, nothing under 44, and no scrolling sideways at 320 px."""
        assert page.evaluate("document.documentElement.scrollWidth") == 320
        for button in page.locator("main form .btn").all():
            box = button.bounding_box()
            assert box and box["height"] >= 60 and box["width"] >= 44, button.inner_text()
        things = (
            "main a, main summary, main select, main textarea, main input:not([type=hidden]), main .form-check-label"
        )
        for thing in page.locator(things).all():
            if thing.is_visible() and "first-button" not in str(thing.get_attribute("class")):
                box = thing.bounding_box()
                assert box and min(box["height"], box["width"]) >= 44, thing.evaluate("one => one.outerHTML")
