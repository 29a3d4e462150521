"""The whole job in Chromium: read, sit, be signed off, carry the card, be seen on the board, be checked."""

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlsplit

import pypdf
import pypdfium2
import pytest
import zxingcpp
from django.core.management import call_command
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from certs.cards.code import unseal
from certs.cards.models import Card, CardKey
from certs.management.replay import Company, right
from tests import company as demo
from tests.browser import fresh, sign_in
from training.quizzes.models import Sitting, SittingItem

PAPER = "bonding-theory"


@dataclass
class Site:
    """The served company, and the browser to see it with."""

    company: Company
    base: str
    browser: Browser

    def enter(self, username: str, *, width: int = 1280) -> Page:
        """Sign in as someone, in a browser profile of their own."""
        return sign_in(fresh(self.browser, self.base, width=width), username)


@pytest.fixture
def site(live_server: LiveServer, browser: Browser, capsys: pytest.CaptureFixture[str]) -> Iterator[Site]:
    """The people of the demo before they have done anything, and the key that signs cards."""
    company = demo.settle(timezone.now())
    call_command("make_card_key")
    yield Site(company, live_server.url, browser)
    for context in browser.contexts:
        context.close()


def read_everything(page: Page) -> None:
    """Open each procedure and say that it was read."""
    page.goto("/procedures/")
    addresses = [
        link.get_attribute("href") for link in page.get_by_role("main").locator("a[href^='/procedures/']").all()
    ]
    for address in dict.fromkeys(addresses):
        page.goto(str(address))
        page.get_by_role("button", name="I have read this").click()
        expect(page.get_by_role("status").first).to_be_visible()


def start(page: Page) -> Sitting:
    """Open the paper from its rules."""
    page.goto(f"/papers/{PAPER}/start/")
    page.get_by_role("main").get_by_role("button").click()
    page.wait_for_url("**/sittings/**")
    return Sitting.objects.get(handed_in_at__isnull=True)


def write(page: Page, item: SittingItem) -> None:
    """Answer one question rightly, as a person types and ticks."""
    for part, shown in zip(item.sealed["parts"], item.shown["parts"], strict=True):
        name = f"q{item.position}-{part['name']}"
        field, answer = page.locator(f"[name='{name}']"), right(part, shown)
        if shown["answer"] == "number":
            field.fill(str(answer).replace(".", ","))
        elif shown["answer"] == "order":
            for place, line in enumerate(answer, start=1):
                page.locator(f"[name='{name}-{line}']").select_option(str(place))
        else:
            for option in [answer] if isinstance(answer, str) else answer:
                page.locator(f"[name='{name}'][value='{option}']").check()


def answer_all(page: Page, sitting: Sitting) -> None:
    """Answer the whole paper rightly."""
    for item in sitting.items.order_by("position"):
        write(page, item)


class TestTheJob:
    def test_goes_from_sign_in_to_a_card_that_any_phone_can_check(self, site: Site) -> None:
        """A crew member reads and sits, a trainer signs, a supervisor looks, a stranger checks."""
        crew = site.enter("moira")
        read_everything(crew)
        sitting = start(crew)
        answer_all(crew, sitting)
        crew.get_by_role("button", name="Hand in").click()
        expect(crew.get_by_role("heading", level=1)).to_have_text(re.compile(": passed$"))
        sitting.refresh_from_db()
        assert sitting.passed

        card = sign(site)
        face = read_card(crew, card)
        assert card.number in face.text
        assert "Moira Tarn" in face.text
        facts = unseal(face.code.split("#")[1], keys_on_record())
        assert facts.number == card.number

        supervisor = site.enter("piet")
        supervisor.goto("/board/")
        row = supervisor.get_by_role("row").filter(has_text="Moira Tarn")
        expect(row).to_contain_text("Current")
        supervisor.goto("/board/?on=2026-01-01")
        expect(supervisor.get_by_role("row").filter(has_text="Moira Tarn")).not_to_contain_text("Current")

        stranger = fresh(site.browser, site.base).new_page()
        code = urlsplit(face.code)
        stranger.goto(f"{code.path}#{code.fragment}")
        expect(stranger.get_by_role("main")).to_contain_text("Genuine and current")
        expect(stranger.get_by_role("main")).to_contain_text("Moira Tarn")
        stranger.goto("/check/")
        stranger.get_by_label("Card number").fill(card.number.lower().replace("-", " "))
        stranger.get_by_role("button", name="Check the number").click()
        expect(stranger.get_by_role("main")).to_contain_text("Genuine and current")


def sign(site: Site) -> Card:
    """Sign the practical of the one who waits, on the sheet as a person fills it in."""
    trainer = site.enter("iver")
    trainer.goto("/signoffs/")
    trainer.get_by_role("link", name="Open the sheet for Moira Tarn").click()
    fill_sheet(trainer)
    trainer.get_by_label("Your password again").fill("iver fires true bonds")
    trainer.get_by_role("button", name="Sign", exact=True).click()
    expect(trainer.get_by_role("main")).to_contain_text("passed", ignore_case=True)
    return Card.objects.get(person=site.company.people["moira"])


def fill_sheet(page: Page) -> None:
    """Fill in a clean sheet: every check seen, every bond good, on a cold day."""
    today = timezone.now().date()
    main = page.get_by_role("main")
    for box in main.get_by_role("checkbox").all():
        if "below" not in str(box.get_attribute("name")):
            box.check()
    main.get_by_label("Both leads in the circuit").check()
    texts = {
        "place": "Training siding",
        "air_c": "−4,5",
        "meter": "M-2041",
        "pin_lot": "L2201",
        "pack_v": "39,62",
        "forward_uv": "730",
        "reversed_uv": "−470",
        "current_a": "10",
    }
    for field in main.locator("input[type=text], input[type=date], input:not([type])").all():
        name = str(field.get_attribute("name"))
        if "calibrated" in name:
            field.fill(today.replace(year=today.year + 1).isoformat())
        elif "assessed" in name:
            field.fill(today.isoformat())
        for key, value in texts.items():
            if name == key or name.endswith((f"-{key}", f"_{key}")):
                field.fill(value)


@dataclass
class Face:
    """What a card's PDF says, to a reader and to a scanner."""

    text: str
    code: str


def read_card(page: Page, card: Card) -> Face:
    """Fetch the PDF as the holder does, read its text, rasterise it and read its code."""
    page.goto(f"/cards/{card.number}/")
    address = page.get_by_role("main").locator("a[href$='.pdf']").first.get_attribute("href")
    pdf = page.request.get(str(address)).body()
    text = "\n".join(sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    pages = pypdfium2.PdfDocument(pdf)
    codes = [zxingcpp.read_barcodes(pages[n].render(scale=200 / 72).to_pil()) for n in range(len(pages))]
    return Face(text, next(code.text for found in codes for code in found))


def keys_on_record() -> dict[bytes, bytes]:
    """The public halves that the register holds."""
    return {bytes.fromhex(key.key_id): bytes.fromhex(key.public) for key in CardKey.objects.all()}
