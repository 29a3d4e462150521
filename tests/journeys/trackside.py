"""A phone at the trackside: a browser with a profile of its own, which a power cut may kill, and its acts."""

import os
import re
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import BrowserContext, BrowserType, Page, expect

from certs.management.replay import password
from tests import cast
from tests.browser import FLAGS
from tests.certs.factory import scheme_issue
from training.people.rules import Role

PATIENCE = 60
KEPT = "Kept on this phone"
HELD_OR_SENT = re.compile("Kept on this phone. It is sent as soon as there is a signal|Sent. It is on record")
# What this profile holds of one kind.
HELD = """(name) => new Promise((resolve) => {
    indexedDB.open("ferrule").onsuccess = ({ target }) => {
        target.result.transaction(name).objectStore(name).getAll().onsuccess = (event) => resolve(event.target.result);
    };
})"""


def crew() -> None:
    """Make two crew members of one employer and a scheme to record under: all that these journeys need, and quick."""
    company = cast.assemble()
    for username, name in (("moira", "Moira Tarn"), ("tomas", "Tomas Brandvik")):
        person = cast.person(username, name, company.northmoor, Role.CREW)
        person.set_password(password(username))
        person.save(update_fields=["password"])
    scheme_issue(title="Rail bonds by pin brazing")


class Phone:
    """A browser in its own process group, on a profile that outlives it."""

    def __init__(self, kind: BrowserType, profile: Path) -> None:
        self.kind, self.profile = kind, profile

    def switch_on(self) -> BrowserContext:
        """Start it and return its one window."""
        port = self.profile / "DevToolsActivePort"
        port.unlink(missing_ok=True)
        command = [str(shutil.which("chromium")), "--headless=new", *FLAGS, "--remote-debugging-port=0"]
        command += [f"--user-data-dir={self.profile}", "--window-size=400,800", "about:blank"]
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        self.process = subprocess.Popen(command, start_new_session=True, **quiet)
        until = time.monotonic() + PATIENCE
        while not port.exists() or len(port.read_text().splitlines()) < 2:
            if time.monotonic() > until:
                raise RuntimeError("the browser does not start")
            time.sleep(0.02)
        self.browser = self.kind.connect_over_cdp(f"http://127.0.0.1:{port.read_text().splitlines()[0]}")
        return self.browser.contexts[0]

    def dies(self) -> None:
        """Kill the whole group at once: nothing is written any more."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=PATIENCE)
        self.browser.close()

    def switch_off(self) -> None:
        """Close it as one should."""
        self.browser.new_browser_cdp_session().send("Browser.close")
        self.process.wait(timeout=PATIENCE)
        self.browser.close()


@contextmanager
def phone(kind: BrowserType, profile: Path) -> Iterator[Phone]:
    """A phone that is off at the end, whatever happens."""
    held = Phone(kind, profile)
    yield held
    if held.process.poll() is None:
        os.killpg(held.process.pid, signal.SIGKILL)
        held.process.wait(timeout=PATIENCE)


def photo(colour: str = "red") -> dict[str, object]:
    """A photo larger than a phone sends, as a file to choose."""
    made = BytesIO()
    Image.new("RGB", (2400, 1800), colour).save(made, "JPEG")
    return {"name": "bond.jpg", "mimeType": "image/jpeg", "buffer": made.getvalue()}


def fill(page: Page, *, place: str, bonds: int) -> None:
    """Fill in what the form asks for."""
    page.get_by_label("Rail bonds").first.check()
    page.get_by_label("Place").fill(place)
    page.get_by_label("How many bonds you made").fill(str(bonds))


def add_photo(page: Page, colour: str = "red") -> None:
    """Choose a photo and wait until it is shown."""
    before = page.locator("[data-photos] img").count()
    page.locator("input[type=file]").set_input_files(photo(colour))  # type: ignore[arg-type]
    expect(page.locator("[data-photos] img")).to_have_count(before + 1)


def typed_is_kept(page: Page) -> None:
    """Wait until the page says so."""
    expect(page.locator("form [data-kept]")).to_have_text(KEPT)


def keep(page: Page, *, place: str, bonds: int, colour: str = "") -> None:
    """Keep one record, with a photo or without."""
    fill(page, place=place, bonds=bonds)
    if colour:
        add_photo(page, colour)
    press(page)


def press(page: Page) -> None:
    """Keep what is filled in, and wait until the phone has it: the form is empty again, and the page says so."""
    page.get_by_role("button", name="Keep record").click()
    expect(page.get_by_label("Place")).to_have_value("")
    expect(page.get_by_role("main")).to_contain_text(HELD_OR_SENT)


def held(page: Page, name: str) -> list[dict[str, object]]:
    """Return what the phone holds of a kind."""
    return list(page.evaluate(HELD, name))


def nothing_waits(page: Page) -> None:
    """Wait until the list is empty."""
    expect(page.locator("[data-count]")).to_have_text("Nothing waits on this phone.", timeout=30_000)
