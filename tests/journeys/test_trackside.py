"""Records and sheets at the trackside: the phone dies, the server is gone, and what was called kept arrives once."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import connection
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from certs.management import replay
from certs.management.replay import password
from certs.photos.models import Photo
from certs.signoffs.models import ReceivedSheet
from certs.worklog.models import WorkEntry
from tests import company as demo
from tests.browser import fresh, sign_in
from tests.journeys import trackside
from tests.journeys.killable import Killable
from tests.journeys.trackside import Phone
from tests.journeys.walk import PAPER, fill_sheet
from tests.laws.test_pages import violations

pytestmark = pytest.mark.django_db(transaction=True)
RECORDS = 3
SCHEME = "rail-bonds"
COLOURS = ("red", "green", "blue")


@pytest.fixture
def company(transactional_db: None) -> replay.Company:
    """The people of the demo; Moira has read everything and passed her paper."""
    made = demo.settle(timezone.now())
    moira = made.people["moira"]
    replay.reads(made, {"scheme": SCHEME, "days_ago": 3}, moira)
    replay.sits(made, {"who": "moira", "paper": PAPER, "days_ago": 2, "misses": 0}, moira)
    return made


@pytest.fixture
def server(company: replay.Company) -> Iterator[Killable]:
    served = Killable(connection.settings_dict)
    yield served
    served.kill()


def enter(page: Page, base: str) -> None:
    """Sign in by hand where the browser lost its session with its life."""
    page.goto(f"{base}/")
    if page.get_by_label("User name").is_visible():
        page.get_by_label("User name").fill("moira")
        page.get_by_label("Password").fill(password("moira"))
        page.get_by_role("main").get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Today")


def prepare(phone: Phone, base: str) -> None:
    """Open the form once with a signal and close the browser as one should."""
    page = phone.switch_on().new_page()
    enter(page, base)
    page.goto(f"{base}/worklog/add/")
    expect(page.locator("form [data-kept]")).to_be_attached()
    page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    phone.switch_off()


class Maker:
    """A crew member who makes three records, and loses the phone's power after every few taps."""

    def __init__(self, phone: Phone, base: str) -> None:
        self.phone, self.base, self.kills = phone, base, 0

    def form(self) -> Page:
        page = self.phone.switch_on().new_page()
        page.goto(f"{self.base}/worklog/add/")
        expect(page.locator("form [data-kept]")).to_be_attached()
        return page

    def dies(self) -> None:
        self.phone.dies()
        self.kills += 1

    def makes(self, number: int) -> None:
        """Make one record in five lives."""
        place = f"Mile {number}"
        page = self.form()
        page.get_by_label("Rail bonds").check()
        page.get_by_label("Place").fill(place)
        trackside.typed_is_kept(page)
        self.dies()
        page = self.form()
        expect(page.get_by_label("Place")).to_have_value(place)
        trackside.add_photo(page, COLOURS[number - 1])
        trackside.typed_is_kept(page)
        self.dies()
        page = self.form()
        expect(page.locator("[data-photos] img")).to_have_count(1)
        page.get_by_label("How many bonds you made").press_sequentially(f"{number}0")
        self.dies()  # in the middle of typing: what was not called kept may be gone, the rest is not
        page = self.form()
        expect(page.get_by_label("Place")).to_have_value(place)
        page.get_by_label("How many bonds you made").fill(f"{number}0")
        trackside.press(page)
        self.dies()
        page = self.form()
        assert len(trackside.held(page, "records")) == number
        expect(page.get_by_label("Place")).to_have_value("")
        page.get_by_role("button", name="Keep record").click()  # of an empty form: nothing comes of it
        self.dies()


class TestPowerCut:
    def test_loses_nothing_that_was_called_kept(self, browser: Browser, server: Killable, tmp_path: Path) -> None:
        """Three records with photos, no signal, the browser killed fifteen times; then each is on record once."""
        with trackside.phone(browser.browser_type, tmp_path) as phone:
            prepare(phone, server.base)
            server.kill()
            maker = Maker(phone, server.base)
            for number in range(1, RECORDS + 1):
                maker.makes(number)
            assert maker.kills == 15
            server.start()
            page = phone.switch_on().new_page()
            enter(page, server.base)
            page.goto(f"{server.base}/waiting/")
            trackside.nothing_waits(page)
            phone.switch_off()
        entries = WorkEntry.objects.order_by("bonds")
        assert [(one.place, one.bonds) for one in entries] == [(f"Mile {n}", n * 10) for n in (1, 2, 3)]
        assert sorted(Photo.objects.values_list("record", flat=True)) == sorted(one.pk for one in entries)


class TestSheet:
    def test_is_filled_in_without_a_signal_and_arrives_once(
        self, browser: Browser, server: Killable, company: replay.Company
    ) -> None:
        """Opened once with a signal; a bond added, a photo, a reload without one; sent when the server is back."""
        page = sign_in(fresh(browser, server.base, width=360, height=780), "iver")
        address = f"/signoffs/{company.people['moira'].pk}/{SCHEME}/"
        page.goto(address)
        expect(page.locator("form [data-kept]")).to_be_attached()
        page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
        server.kill()
        page.goto(address)
        main = page.get_by_role("main")
        expect(main).to_contain_text("No signal")
        expect(main.get_by_role("heading", level=1)).to_have_text("Practical of Moira Tarn")
        bonds = page.locator("fieldset[data-bond]").count()
        page.locator("[data-add-bond]").click()
        expect(page.locator("fieldset[data-bond]")).to_have_count(bonds + 1)
        fill_sheet(page)
        page.get_by_role("button", name="Work it out").last.click()
        expect(main).to_contain_text("No signal: the site cannot answer now.")
        trackside.add_photo(page)
        trackside.typed_is_kept(page)
        page.reload()
        expect(page.locator("fieldset[data-bond]")).to_have_count(bonds + 1)
        expect(page.locator(f"[name=bond_{bonds + 1}_pack_v]")).to_have_value("39,62")
        assert violations(page) == []
        page.get_by_role("button", name="Send to be signed").click()
        expect(main).to_contain_text("Kept on this phone. It is sent as soon as there is a signal.")
        page.goto("/waiting/")
        expect(main).to_contain_text("1 record waits. 1 photo waits.")
        server.start()
        page.get_by_role("button", name="Send now").click()
        trackside.nothing_waits(page)
        sheet = ReceivedSheet.objects.get()
        assert (sheet.candidate.username, sheet.made_by.username) == ("moira", "iver")
        assert Photo.objects.get().record == sheet.pk
        page.context.close()
