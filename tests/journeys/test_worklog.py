"""Bonds recorded at the trackside, in Chromium with the server really gone: never lost, never twice."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.db import connection
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from certs.photos.models import Photo
from certs.worklog.models import WorkEntry
from tests.browser import fresh, sign_in
from tests.journeys import trackside
from tests.journeys.killable import Killable
from tests.laws.test_pages import violations
from training.ledger.queries import fault

pytestmark = pytest.mark.django_db(transaction=True)
# As a browser has it that knows no locks.
NO_LOCKS = "Object.defineProperty(Navigator.prototype, 'locks', { get: () => undefined })"
SEND_SOON = "setTimeout(() => document.querySelector('[data-send]').click(), 500)"

TYPED_AT_ONCE = """document.addEventListener("DOMContentLoaded", () => {
  const field = document.querySelector("[name=place]");
  field.value = "Mile 8";
  field.dispatchEvent(new Event("input", { bubbles: true }));
});"""


@dataclass
class Served:
    """A crew on a server that can be killed, and the browser to see it with."""

    server: Killable
    browser: Browser

    def phone(self, **options: object) -> BrowserContext:
        return fresh(self.browser, self.server.base, width=360, height=780, **options)


@pytest.fixture
def served(browser: Browser, transactional_db: None) -> Iterator[Served]:
    trackside.crew()
    server = Killable(connection.settings_dict)
    yield Served(server, browser)
    for context in browser.contexts:
        context.close()
    server.kill()


def opened(context: BrowserContext, username: str = "moira", *, worker: bool = True) -> Page:
    """Sign in and open the form, until the phone holds it, and the worker with it unless the context forbids one."""
    page = sign_in(context, username)
    page.goto("/worklog/add/")
    expect(page.locator("form [data-kept]")).to_be_attached()
    if worker:
        page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    return page


def sign_out(page: Page, *, asks: bool) -> None:
    page.goto("/account/logout/")
    page.get_by_role("main").get_by_role("button").click()
    if asks:
        expect(page.get_by_role("alert")).to_contain_text("still on this phone and not sent")
        page.get_by_role("button", name="Sign out all the same").click()
    expect(page.get_by_label("User name")).to_be_visible()


def load(page: Page, file: Path) -> None:
    """Choose a file, once the page is ready for one."""
    expect(page.get_by_role("button", name="Send now")).to_be_visible()
    page.get_by_label("Load a file").set_input_files(file)


class TestWithoutSignal:
    def test_a_record_is_filled_in_kept_and_sent_later(self, served: Served) -> None:
        """The form from the phone itself, three records with photos, and each of them once on record."""
        page = opened(served.phone())
        served.server.kill()
        page.goto("/worklog/add/")
        main = page.get_by_role("main")
        expect(main).to_contain_text("No signal")
        expect(main.get_by_role("heading", level=1)).to_have_text("Record bonds made")
        for number, colour in enumerate(("red", "green", "blue"), start=1):
            trackside.keep(page, place=f"Mile {number}", bonds=number, colour=colour)
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        page.goto("/papers/")
        expect(main).to_contain_text("cannot be reached now")
        expect(main.get_by_role("link", name="Record bonds made")).to_be_visible()
        page.goto("/waiting/")
        expect(main).to_contain_text("3 records wait. 3 photos wait.")
        expect(main).to_contain_text("The oldest has waited 0 minutes.")
        expect(main.locator("[data-signal]")).to_contain_text("No signal")
        assert violations(page) == []
        served.server.start()
        page.get_by_role("button", name="Send now").click()
        trackside.nothing_waits(page)
        entries = WorkEntry.objects.order_by("place")
        assert [(one.place, one.bonds, one.person.username) for one in entries] == [
            (f"Mile {number}", number, "moira") for number in (1, 2, 3)
        ]
        assert {photo.record for photo in Photo.objects.all()} == {one.pk for one in entries}
        assert fault() == ""

    def test_a_photo_goes_with_the_record_it_was_taken_for(self, served: Served) -> None:
        """Also when the record is kept before the photo has been made small."""
        page = opened(served.phone())
        served.server.kill()
        for number in (1, 2):
            trackside.fill(page, place=f"Mile {number}", bonds=number)
            page.locator("input[type=file]").set_input_files(trackside.photo())  # type: ignore[arg-type]
            trackside.press(page)
        photos = {str(one["record"]): one["state"] for one in trackside.held(page, "photos")}
        assert photos == {str(one["id"]): "waiting" for one in trackside.held(page, "records")}
        assert len(photos) == 2

    def test_what_is_typed_is_back_after_a_reload(self, served: Served) -> None:
        """Every field and the photo; an empty one is a button away."""
        page = opened(served.phone())
        served.server.kill()
        page.goto("/worklog/add/")
        trackside.fill(page, place="Mile 7", bonds=7)
        page.get_by_label("Air below zero").check()
        trackside.add_photo(page)
        trackside.typed_is_kept(page)
        page.reload()
        expect(page.get_by_role("main")).to_contain_text("What you typed before is back.")
        expect(page.get_by_label("Place")).to_have_value("Mile 7")
        expect(page.get_by_label("Air below zero")).to_be_checked()
        expect(page.locator("[data-photos] img")).to_have_count(1)
        page.get_by_role("button", name="Start an empty one").click()
        expect(page.get_by_label("Place")).to_have_value("")
        assert trackside.held(page, "photos") == trackside.held(page, "drafts") == []

    def test_what_is_typed_while_the_page_opens_is_newer(self, served: Served) -> None:
        """What was kept comes back a moment later, and leaves alone what the hand was quicker with."""
        page = opened(served.phone())
        trackside.fill(page, place="Mile 7", bonds=7)
        trackside.typed_is_kept(page)
        page.add_init_script(TYPED_AT_ONCE)
        page.reload()
        expect(page.get_by_role("main")).to_contain_text("What you typed before is back.")
        expect(page.get_by_label("How many bonds")).to_have_value("7")
        expect(page.get_by_label("Place")).to_have_value("Mile 8")

    def test_what_the_site_does_not_take_comes_back_to_be_put_right(self, served: Served) -> None:
        """It stays on the phone and in its form, the site's sentence at its field; put right, its key is the same."""
        page = opened(served.phone())
        trackside.fill(page, place="Mile 8", bonds=8)
        page.get_by_label("Day").fill((timezone.now() + timedelta(days=40)).date().isoformat())
        page.get_by_role("button", name="Keep record").click()
        main = page.get_by_role("main")
        page.get_by_role("link", name="Day: Give today or an earlier day").click()
        expect(page.get_by_label("Day")).to_be_focused()
        expect(page.get_by_label("Day")).to_have_accessible_description(re.compile("Give today or an earlier day"))
        expect(page.get_by_label("Place")).to_have_value("Mile 8")
        assert violations(page) == []
        page.goto("/waiting/")
        expect(main).to_contain_text("These need you")
        expect(main).to_contain_text("Day: Give today or an earlier day")
        assert violations(page) == []
        page.get_by_role("link", name="Put it right").click()
        expect(page.get_by_label("Place")).to_have_value("Mile 8")
        expect(main).to_contain_text("Put this right, then keep the record again.")
        page.get_by_label("Day").fill(timezone.now().date().isoformat())
        page.get_by_role("button", name="Keep record").click()
        expect(main).to_contain_text("Sent. It is on record.")
        expect(page.locator("[aria-invalid]")).to_have_count(0)
        assert WorkEntry.objects.get().place == "Mile 8"
        assert trackside.held(page, "records") == trackside.held(page, "drafts") == []

    def test_a_file_carries_it_to_another_phone(self, served: Served, tmp_path: Path) -> None:
        """Saved on one, loaded on another, sent from both: on record once."""
        first = opened(served.phone())
        served.server.kill()
        trackside.keep(first, place="Mile 9", bonds=9, colour="red")
        first.goto("/waiting/")
        with first.expect_download() as download:
            first.get_by_role("button", name="Save to a file").click()
        file = tmp_path / "waiting.json"
        download.value.save_as(file)
        served.server.start()
        stranger = sign_in(served.phone(), "tomas")
        stranger.goto("/waiting/")
        load(stranger, file)
        expect(stranger.get_by_role("main")).to_contain_text("saved by somebody else")
        second = sign_in(served.phone(), "moira")
        second.goto("/waiting/")
        load(second, file)
        expect(second.get_by_role("main")).to_contain_text("2 records and photos were read")
        trackside.nothing_waits(second)
        first.get_by_role("button", name="Send now").click()
        trackside.nothing_waits(first)
        assert (WorkEntry.objects.count(), Photo.objects.count()) == (1, 1)
        file.write_text(file.read_text().replace("/worklog/received/", "/account/"))
        load(second, file)
        expect(second.get_by_role("main")).to_contain_text("not a file saved on this page")


class TestWeakSignal:
    def test_lost_answers_make_no_second_record(self, served: Served) -> None:
        """The site has it, the phone does not know: five times over, and then one row."""
        context = served.phone(service_workers="block")
        page = opened(context, worker=False)
        lost: list[str] = []

        def lose(route: Route) -> None:
            route.fetch()
            if len(lost) < 5:
                lost.append(route.request.url)
                return route.abort()
            return route.fallback()

        page.route("**/received/**", lose)
        trackside.keep(page, place="Mile 10", bonds=10)
        page.goto("/waiting/")
        for _again in range(5):
            page.get_by_role("button", name="Send now").click()
            page.wait_for_timeout(300)
        trackside.nothing_waits(page)
        assert len(lost) == 5
        assert WorkEntry.objects.count() == 1

    def test_only_its_own_key_in_the_answer_lets_a_record_go(self, served: Served) -> None:
        """A sign-in page, a busy site, a broken one, another key, no JSON at all: it stays, and is tried again."""
        page = opened(served.phone(service_workers="block"), worker=False)
        other = json.dumps({"kept": "00000000-0000-4000-8000-000000000000"})
        answers: list[dict[str, Any]] = [
            {"status": 302, "headers": {"Location": "/account/login/"}},
            {"status": 503, "body": ""},
            {"status": 500, "body": "<html>"},
            {"status": 403, "body": "{}"},
            {"status": 200, "body": other},
            {"status": 201, "body": "<html>kept</html>"},
            {"status": 422, "body": "{}"},
        ]
        asked, last = list(answers), [{"status": 409, "body": "{}"}]

        def answer(route: Route) -> None:
            return route.fulfill(**(asked.pop(0) if asked else last[0])) if last else route.fallback()

        page.route("**/received/**", answer)
        trackside.keep(page, place="Mile 15", bonds=15)
        page.goto("/waiting/")
        while asked:
            left = len(asked)
            page.get_by_role("button", name="Send now").click()
            expect(page.locator("[data-count]")).to_contain_text("1 record waits.")
            for _wait in range(50):
                if len(asked) < left:
                    break
                page.wait_for_timeout(100)
            (record,) = trackside.held(page, "records")
            assert record["state"] == "waiting"
        page.get_by_role("button", name="Send now").click()
        expect(page.get_by_role("main")).to_contain_text("The site has another record under this key")
        last.clear()
        page.get_by_role("button", name="Send now").click()
        trackside.nothing_waits(page)
        assert WorkEntry.objects.get().bonds == 15

    def test_says_how_old_the_oldest_is_and_louder_after_a_day(self, served: Served) -> None:
        """On every page; signed in, it leads to the list."""
        page = opened(served.phone(service_workers="block"), worker=False)
        page.route("**/received/**", lambda route: route.abort())
        trackside.keep(page, place="Mile 16", bonds=16)
        line = page.locator("[data-line]")
        page.clock.set_fixed_time(timezone.now() + timedelta(hours=23))
        page.goto("/worklog/")
        expect(line).to_contain_text("1 record waits on this phone. The oldest has waited 23 hours.")
        assert "message-warning" not in str(line.get_attribute("class"))
        page.clock.set_fixed_time(timezone.now() + timedelta(hours=25))
        page.goto("/worklog/")
        expect(line).to_contain_text("The oldest has waited 1 day.")
        assert "message-warning" in str(line.get_attribute("class"))
        line.get_by_role("link").click()
        expect(page.get_by_role("main")).to_contain_text("send it today, or save it to a file")

    @pytest.mark.both
    @pytest.mark.parametrize("locks", [True, False], ids=["locks", "without-locks"])
    def test_three_pages_send_at_once(self, served: Served, locks: bool) -> None:
        """Each record and photo is on record once, whichever page was first."""
        context = served.phone()
        if not locks:
            context.add_init_script(NO_LOCKS)
        pages = [opened(context)]
        served.server.kill()
        for number in range(1, 5):
            trackside.keep(pages[0], place=f"Mile {number}", bonds=number, colour="red" if number == 1 else "")
        pages += [context.new_page(), context.new_page()]
        for page in pages:
            page.goto("/waiting/")
            expect(page.locator("[data-count]")).to_have_text("4 records wait. 1 photo waits.")
        served.server.start()
        for page in pages:
            page.evaluate(SEND_SOON)
        for page in pages:
            trackside.nothing_waits(page)
        assert sorted(WorkEntry.objects.values_list("bonds", flat=True)) == [1, 2, 3, 4]
        assert Photo.objects.count() == 1
        assert fault() == ""

    def test_two_pages_of_one_form_keep_two_records_apart(self, served: Served) -> None:
        """What is typed on one is not written over by the other."""
        context = served.phone()
        first = opened(context)
        second = context.new_page()
        second.goto("/worklog/add/")
        served.server.kill()
        for number, page in ((1, first), (2, second)):
            trackside.fill(page, place=f"Mile {number}", bonds=number)
            trackside.typed_is_kept(page)
        for number, page in ((1, first), (2, second)):
            page.reload()
            expect(page.get_by_label("Place")).to_have_value(f"Mile {number}")
            trackside.press(page)
        assert sorted(str(dict(one["fields"])["place"]) for one in trackside.held(first, "records")) == [
            "Mile 1",
            "Mile 2",
        ]


class TestPeopleOnOnePhone:
    def test_the_next_one_neither_sees_nor_sends_it(self, served: Served) -> None:
        """Signing out asks first, leaves no name behind, and what waits is sent when its maker is back."""
        context = served.phone()
        page = opened(context)
        served.server.kill()
        trackside.keep(page, place="Mile 11", bonds=11)
        Session.objects.all().delete()
        served.server.start()
        page.goto("/waiting/")
        expect(page.get_by_role("main")).to_contain_text("Signed out: sign in, and it is sent.")
        other = opened(context, "tomas")
        expect(other.locator("[data-line]")).to_be_hidden()
        other.goto("/waiting/")
        trackside.nothing_waits(other)
        assert not WorkEntry.objects.exists()
        other.goto("/worklog/add/")
        expect(other.get_by_label("Place")).to_have_value("")
        trackside.keep(other, place="Mile 12", bonds=12)
        expect(other.get_by_role("main")).to_contain_text("Sent. It is on record.")
        assert [one.person.username for one in WorkEntry.objects.all()] == ["tomas"]
        sign_out(other, asks=False)
        assert not [word for word in ("Moira", "Tarn", "Tomas", "moira", "tomas") if word in dump(other)]
        page = sign_in(context, "moira")
        page.goto("/waiting/")
        trackside.nothing_waits(page)
        assert {(one.person.username, one.bonds) for one in WorkEntry.objects.all()} == {("moira", 11), ("tomas", 12)}

    def test_leaving_with_something_unsent_asks_again(self, served: Served) -> None:
        """Counted at the click, in whichever page it was kept."""
        context = served.phone(service_workers="block")
        page = opened(context, worker=False)
        context.route("**/received/**", lambda route: route.abort())
        trackside.keep(page, place="Mile 13", bonds=13)
        sign_out(context.new_page(), asks=True)
        page.goto("/waiting/")
        expect(page.get_by_role("main")).to_contain_text("Nothing waits on this phone.")
        context.unroute("**/received/**")
        back = sign_in(context, "moira")
        back.goto("/waiting/")
        trackside.nothing_waits(back)
        assert WorkEntry.objects.get().bonds == 13


def dump(page: Page) -> str:
    """Return all that the phone holds, as text."""
    names = ("facts", "drafts", "records", "photos", "forms")
    return json.dumps([trackside.held(page, name) for name in names], ensure_ascii=False)


class TestHomeScreen:
    def test_takes_the_site(self, served: Served) -> None:
        """Chromium finds nothing that keeps it from being installed, and the icons are what they are said to be."""
        page = opened(served.phone())
        session = page.context.new_cdp_session(page)
        # A private window never installs anything: it says so, and nothing else.
        errors = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
        assert [one["errorId"] for one in errors if one["errorId"] != "in-incognito"] == []
        told = page.request.get("/manifest.webmanifest").json()
        for icon in told["icons"]:
            picture = Image.open(BytesIO(page.request.get(icon["src"]).body()))
            assert f"{picture.width}x{picture.height}" == icon["sizes"]
        assert {icon["purpose"] for icon in told["icons"]} == {"any", "maskable"}


class TestOnePageWithoutJavaScript:
    def test_records_as_any_form(self, served: Served) -> None:
        """And nothing is promised that needs a phone's memory."""
        context = served.browser.new_context(base_url=served.server.base, java_script_enabled=False)
        page = sign_in(context, "moira")
        page.goto("/worklog/add/")
        trackside.fill(page, place="Mile 14", bonds=14)
        page.locator("input[type=file]").set_input_files(trackside.photo())  # type: ignore[arg-type]
        page.get_by_role("button", name="Keep record").click()
        expect(page.get_by_role("main")).to_contain_text("The bonds are on record.")
        assert (WorkEntry.objects.get().bonds, Photo.objects.count()) == (14, 1)
