"""Reading without a signal, in Chromium with the server really gone."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlsplit

import pytest
from django.db import connection
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests import company as demo
from tests.browser import fresh, sign_in
from tests.journeys.killable import Killable
from tests.laws.test_pages import violations
from tests.training.procedures.content import module, revised
from training.procedures import operations

pytestmark = pytest.mark.django_db(transaction=True)
KEPT = "Kept on this phone for reading without signal"
# The address and the words of everything that is kept in this profile.
HELD = """async () => {
    const found = {};
    for (const name of await caches.keys()) {
        const cache = await caches.open(name);
        for (const request of await cache.keys()) found[request.url] = await (await cache.match(request)).text();
    }
    return found;
}"""


@dataclass
class Served:
    """The company on a server that can be killed, and the browser to see it with."""

    server: Killable
    browser: Browser

    def phone(self) -> BrowserContext:
        return fresh(self.browser, self.server.base, width=360, height=780)


@pytest.fixture
def served(browser: Browser, transactional_db: None) -> Iterator[Served]:
    demo.settle(timezone.now())
    server = Killable(connection.settings_dict)
    yield Served(server, browser)
    for context in browser.contexts:
        context.close()
    server.kill()


def open_kept(page: Page, slug: str) -> None:
    """Open a procedure and wait until the page says that it is kept."""
    page.goto(f"/procedures/{slug}/")
    expect(page.locator("[data-keep]")).to_have_text(KEPT)


def text_of(page: Page) -> str:
    """Return the words of the steps, without the questions of whoever reads them."""
    steps = page.locator("ol.steps")
    steps.evaluate("steps => steps.querySelectorAll('[id^=ask-]').forEach(one => one.remove())")
    return str(steps.inner_text())


class TestProcedure:
    def test_is_read_with_its_age_when_the_server_is_gone(self, served: Served) -> None:
        """The same words and drawings, and since when they have been here."""
        page = sign_in(served.phone(), "moira")
        open_kept(page, "setup")
        before = text_of(page)
        served.server.kill()
        page.reload()
        main = page.get_by_role("main")
        expect(main).to_contain_text("No signal")
        expect(main).to_contain_text(re.compile(r"Kept \d{1,2} \w{3} \d{4}, \d\d:\d\d \(\d minutes? ago\)"))
        expect(main.get_by_role("heading", level=1)).to_have_text("Setting up: pack, leads, earth and gun")
        expect(main).to_contain_text("Revision 1, in force from")
        assert text_of(page) == before
        pictures = main.locator("article img")
        assert pictures.count() > 0
        for place in range(pictures.count()):
            assert pictures.nth(place).evaluate("async (one) => { await one.decode(); return one.naturalWidth; }") > 0
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 360

    def test_is_read_when_the_signal_is_too_weak(self, served: Served) -> None:
        """A request that hangs is given up after a while where there is a copy to show."""
        page = sign_in(served.phone(), "moira")
        open_kept(page, "firing")
        served.server.hang()
        page.reload()
        expect(page.get_by_role("main")).to_contain_text("No signal")
        expect(page.get_by_role("heading", level=1)).to_have_text("Firing, testing and recording a bond")

    def test_comes_from_the_site_again_when_it_is_back(self, served: Served) -> None:
        """The button tries again; what is kept never hides what can be had."""
        page = sign_in(served.phone(), "moira")
        open_kept(page, "setup")
        served.server.kill()
        page.reload()
        expect(page.get_by_role("main")).to_contain_text("No signal")
        served.server.start()
        again, back = (page.get_by_role("link", name=name) for name in ("Try again", "Go to the next one"))
        # A server that has just begun may answer later than a weak signal is waited for.
        for _try in range(5):
            again.click()
            expect(again.or_(back).first).to_be_visible()
            if back.is_visible():
                break
        expect(back).to_be_visible()
        expect(page.get_by_role("main")).not_to_contain_text("No signal")

    def test_gives_way_to_its_next_revision(self, served: Served) -> None:
        """Nobody works to an older one for want of a signal."""
        page = sign_in(served.phone(), "moira")
        operations.load([module()], at=timezone.now())
        open_kept(page, "setup")
        operations.load([revised()], at=timezone.now())
        open_kept(page, "setup")
        texts = [urlsplit(url) for url in page.evaluate(HELD) if "/procedures/" in url]
        assert {(one.path, one.query) for one in texts} == {("/procedures/setup/kept/", "revision=3")}
        served.server.kill()
        page.reload()
        expect(page.get_by_role("main")).to_contain_text("looked at twice")

    def test_goes_when_it_is_out_of_use(self, served: Served) -> None:
        """Once its page has said so."""
        page = sign_in(served.phone(), "moira")
        open_kept(page, "setup")
        operations.load([], at=timezone.now())
        page.goto("/procedures/setup/")
        expect(page.get_by_role("main")).to_contain_text("No longer in use")
        for _wait in range(50):
            held = [url for url in page.evaluate(HELD) if "/procedures/" in url]
            if not held:
                break
            page.wait_for_timeout(100)
        assert held == []


class TestOtherPages:
    def test_land_on_the_list_of_what_is_kept(self, served: Served) -> None:
        """Never on the browser's own page; and the list leads to the procedure."""
        page = sign_in(served.phone(), "moira")
        open_kept(page, "setup")
        open_kept(page, "firing")
        served.server.kill()
        page.goto("/papers/")
        main = page.get_by_role("main")
        expect(main.get_by_role("heading", level=1)).to_have_text("Procedures kept on this phone")
        expect(main).to_contain_text("cannot be reached now")
        expect(main.get_by_role("listitem")).to_have_count(2)
        expect(main).to_contain_text(re.compile(r"Kept \d{1,2} \w{3} \d{4}, \d\d:\d\d"))
        assert violations(page) == []
        main.get_by_role("link", name="Firing, testing and recording a bond").click()
        expect(main.get_by_role("heading", level=1)).to_have_text("Firing, testing and recording a bond")
        page.get_by_role("link", name="All procedures kept").click()
        expect(main.get_by_role("listitem")).to_have_count(2)
        expect(main.locator("[data-cut]")).to_be_hidden()

    def test_say_so_when_nothing_is_kept(self, served: Served) -> None:
        """The kept page itself, before anything was opened."""
        page = served.phone().new_page()
        page.goto("/offline/")
        expect(page.get_by_role("main")).to_contain_text("None is kept yet")


class TestNextPersonOnThePhone:
    def test_sees_no_name_of_the_one_before(self, served: Served) -> None:
        """What is kept is the same for everyone, and stays when one signs out: there is nothing personal in it."""
        context = served.phone()
        first = sign_in(context, "moira")
        open_kept(first, "setup")
        held = first.evaluate(HELD)
        first.goto("/account/logout/")
        first.get_by_role("main").get_by_role("button").click()
        expect(first.get_by_label("User name")).to_be_visible()
        first.close()
        second = sign_in(context, "tomas")
        open_kept(second, "setup")
        again = second.evaluate(HELD)
        served.server.kill()
        second.goto("/")
        words = json.dumps(again, ensure_ascii=False) + second.content()
        second.goto("/procedures/setup/")
        expect(second.get_by_role("main")).to_contain_text("No signal")
        words += second.content()
        for name in ("Moira", "Tarn", "moira", "Tomas", "tomas", "Harrowmere", 'name="csrfmiddlewaretoken" value'):
            assert name not in words
        assert held == again


class TestWithoutJavaScript:
    def test_a_procedure_is_read_as_ever(self, served: Served) -> None:
        """No worker, no promise, and the whole text."""
        context = served.browser.new_context(base_url=served.server.base, java_script_enabled=False)
        page = sign_in(context, "moira")
        page.goto("/procedures/setup/")
        expect(page.get_by_role("main")).not_to_contain_text(KEPT)
        expect(page.get_by_role("link", name="Go to the next one")).to_be_visible()
