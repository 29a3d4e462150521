"""Scanning a card with the camera of the page, in Chromium with a picture in place of the camera."""

import io
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import segno
from django.utils import timezone
from PIL import Image
from playwright.sync_api import Browser, BrowserType, Page, expect
from pytest_django.live_server_helper import LiveServer

from certs.cards.queries import cards, code_url, face
from certs.cards.rules import local_day
from tests.browser import FLAGS, fresh
from tests.cast import assemble
from tests.certs import factory
from tests.keys import make_keys

pytestmark = pytest.mark.django_db(transaction=True)


def film(address: str, file: Path) -> None:
    """Write a film of one picture: a card's code on a grey ground, 640 by 480, YUV4MPEG2 without colour."""
    png = io.BytesIO()
    segno.make(address, error="q", boost_error=False, micro=False).save(png, kind="png", scale=5, border=4)
    code = Image.open(png).convert("L")
    picture = Image.new("L", (640, 480), 150)
    picture.paste(code, ((640 - code.width) // 2, (480 - code.height) // 2))
    grey = bytes([128]) * (320 * 240 * 2)
    file.write_bytes(b"YUV4MPEG2 W640 H480 F10:1 Ip A1:1 C420\n" + (b"FRAME\n" + picture.tobytes() + grey) * 2)


@pytest.fixture
def page(live_server: LiveServer, browser: Browser, tmp_path: Path) -> Iterator[Page]:
    """A phone at the check page whose camera sees the code of a card."""
    cast, on = assemble(), local_day(timezone.now(), "Europe/London")
    make_keys()
    factory.card(cast, cast.ada, on=on)
    film(code_url(face(cards().get(), on=on)), tmp_path / "card.y4m")
    camera = [f"--use-file-for-fake-video-capture={tmp_path / 'card.y4m'}", "--use-fake-device-for-media-stream"]
    kind: BrowserType = browser.browser_type
    filmed = kind.launch(executable_path=shutil.which("chromium"), headless=True, args=[*FLAGS, *camera])
    context = fresh(filmed, live_server.url, width=360)
    context.grant_permissions(["camera"])
    opened = context.new_page()
    opened.goto("/check/")
    expect(opened.locator("[data-check]")).to_have_attribute("data-state", "ready")
    yield opened
    filmed.close()


class TestCamera:
    def test_reads_the_code_of_a_card(self, page: Page) -> None:
        """By the decoder that is sent along where the browser has none of its own; then as any code."""
        page.get_by_role("button", name="Scan a card").click()
        main = page.get_by_role("main")
        expect(main.locator(".answer:visible")).to_have_text("Genuine and current", timeout=30_000)
        expect(main).to_contain_text("Ada Crew")
        expect(page.locator("video")).to_be_hidden()
        expect(page.get_by_role("button", name="Scan a card")).to_be_visible()
