"""Checking a card without a signal, in Chromium with the server really gone."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from django.db import connection
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Page, expect
from pytest_django import Settings

from certs.cards import code
from certs.cards.operations import measure
from certs.cards.queries import cards, face, says, signing_key
from certs.cards.rules import Step, local_day
from certs.checking import operations
from tests.browser import fresh
from tests.cast import Cast, assemble
from tests.certs import factory
from tests.journeys.killable import Killable
from tests.keys import make_keys
from tests.laws.test_pages import violations
from training.keeping.operations import maintenance

pytestmark = pytest.mark.django_db(transaction=True)

ACCEPT, TELEPHONE, REFUSE = "Genuine and current", "Genuine: telephone before work", "Do not accept"
DAY = timedelta(days=1)


@dataclass
class Gate:
    """A site with one card, that can be killed, and a phone that has visited the check page once."""

    server: Killable
    browser: Browser
    cast: Cast
    now: datetime
    phones: list[BrowserContext] = field(default_factory=list)

    def phone(self, **options: object) -> Page:
        """Open a phone and visit the check page, so that all is kept."""
        context = fresh(self.browser, self.server.base, width=360, height=780)
        page = context.new_page()
        page.goto("/check/")
        ready(page)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        # The page is kept once the worker has taken over.
        page.wait_for_function("navigator.serviceWorker.controller !== null")
        return page

    def code(self, *, key: Ed25519PrivateKey | None = None, **changes: object) -> str:
        """Sign the code of the card, with other facts or another key where asked."""
        on = local_day(self.now, "Europe/London")
        shown = face(cards().get(), on=on)
        own, row = signing_key(on=on)
        return code.seal(replace(says(shown, row), **changes), key or own)

    def suspend(self) -> None:
        card = cards().get()
        on = local_day(self.now, card.zone)
        measure(card=card, step=Step.SUSPENDED, by=self.cast.max, reason="why", on=on, at=self.now)


@pytest.fixture
def gate(browser: Browser, transactional_db: None, settings: Settings, tmp_path: Path) -> Iterator[Gate]:
    settings.CARD_KEY_FILE, settings.ROOT_PUBLIC_FILE = tmp_path / "card.key", tmp_path / "root.pub"
    settings.DATA_DIR = tmp_path
    cast, now = assemble(), timezone.now()
    make_keys()
    factory.card(cast, cast.ada, on=local_day(now, "Europe/London"))
    connection.close()
    server = Killable(connection.settings_dict)
    yield Gate(server, browser, cast, now.astimezone(UTC))
    for context in browser.contexts:
        context.close()
    server.kill()


def ready(page: Page) -> None:
    expect(page.locator("[data-check]")).to_have_attribute("data-state", "ready", timeout=30_000)


def scanned(page: Page, text: str) -> None:
    """Open the address of a code, as the phone's own camera does."""
    page.goto("about:blank")
    page.goto(f"/check#{text}")
    ready(page)


def told(page: Page, answer: str, *reasons: str) -> None:
    main = page.get_by_role("main")
    expect(main.locator(".answer:visible")).to_have_text(answer)
    for reason in reasons:
        expect(main).to_contain_text(reason)
    expect(page.locator("[data-age]")).to_contain_text("ist of stopped cards")


class TestWithoutASignal:
    def test_a_genuine_card_is_accepted(self, gate: Gate) -> None:
        """After one visit, and while the site is closed; the name is shown, and how old the list is."""
        page = gate.phone()
        maintenance.close("Back soon.")
        scanned(page, gate.code())
        told(page, ACCEPT, "Ada Crew")
        maintenance.reopen()
        gate.server.kill()
        scanned(page, gate.code())
        told(page, ACCEPT, "Ada Crew", "FB-", "Compare the name", "the register cannot be reached", "0 hours old")
        assert page.evaluate("location.hash") == ""
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 360

    def test_a_suspended_card_is_refused_by_a_fresh_list_and_doubted_by_an_old_one(self, gate: Gate) -> None:
        """An old list cannot know; once it is out of date it accepts nothing. The depot's sheet brings a fresh one."""
        page = gate.phone()
        before, text = operations.kept_lists(at=gate.now), gate.code()
        gate.suspend()
        after = operations.kept_lists(at=gate.now)
        gate.server.kill()
        # Half a day from where the age turns: a slow page is still within its day.
        page.clock.set_system_time(gate.now + 7.5 * DAY)
        scanned(page, text)
        told(page, TELEPHONE, "out of date", "7 days old")
        scanned(page, f"cards={after.cards}")
        expect(page.get_by_role("main")).to_contain_text("The list is kept on this phone")
        scanned(page, text)
        told(page, REFUSE, "Stopped for the time being")
        scanned(page, f"cards={before.cards}")
        expect(page.get_by_role("main")).to_contain_text("The list was not taken")
        scanned(page, text)
        told(page, REFUSE, "Stopped for the time being")

    def test_what_is_not_ours_or_not_in_force_is_refused(self, gate: Gate) -> None:
        """Run out, not yet valid, forged, of an unknown key."""
        page, text = gate.phone(), gate.code()
        today = local_day(gate.now, "Europe/London")
        run_out = gate.code(valid_from=today - 9 * DAY, issued_on=today - 9 * DAY, last_day=today - DAY)
        early = gate.code(valid_from=today + 9 * DAY)
        unknown = gate.code(key=Ed25519PrivateKey.generate())
        forged = text[:60] + ("A" if text[60] != "A" else "B") + text[61:]
        gate.server.kill()
        for each, reason in (
            (run_out, "The last day was"),
            (early, "Not valid before"),
            (unknown, "a key that this phone does not know"),
            (forged, "was not signed here"),
        ):
            scanned(page, each)
            told(page, REFUSE, reason, "does not braze on the strength of this card")
        expect(page.locator("[data-face]")).to_be_hidden()

    def test_a_clock_that_was_set_back_is_caught(self, gate: Gate) -> None:
        """The day of the list counts where it is the later one."""
        page, today = gate.phone(), local_day(gate.now, "Europe/London")
        run_out = gate.code(valid_from=today - 9 * DAY, issued_on=today - 9 * DAY, last_day=today - DAY)
        genuine = gate.code()
        gate.server.kill()
        page.clock.set_system_time(gate.now - 5 * DAY)
        scanned(page, run_out)
        told(page, REFUSE, "The last day was")
        scanned(page, genuine)
        told(page, TELEPHONE, "The clock of this phone is behind", "ahead of the clock")

    def test_a_card_newer_than_the_list_is_doubted(self, gate: Gate) -> None:
        """It was issued after the phone's last visit."""
        page = gate.phone()
        newer = gate.code(place=10_000)
        gate.server.kill()
        scanned(page, newer)
        told(page, TELEPHONE, "newer than the list", "by telephone, and let the work wait")

    def test_a_broken_key_takes_its_cards_down(self, gate: Gate) -> None:
        """Once the phone has seen the list of keys."""
        from certs.cards.models import CardKey  # noqa: PLC0415
        from certs.cards.queries import private_key  # noqa: PLC0415
        from tests.keys import root_file  # noqa: PLC0415

        text = gate.code()
        operations.break_key(name=CardKey.objects.get().key_id, root=private_key(root_file()), at=timezone.now())
        page = gate.phone()
        gate.server.kill()
        scanned(page, text)
        told(page, REFUSE, "is broken")

    def test_a_number_cannot_be_looked_up_and_says_so(self, gate: Gate) -> None:
        """And the page is there at its plain address too."""
        page = gate.phone()
        gate.server.kill()
        page.goto("/check/?number=FB-2345-6789")
        expect(page.get_by_role("main")).to_contain_text("Without a signal a number cannot be looked up")


class TestWithASignal:
    def test_the_register_has_the_last_word(self, gate: Gate) -> None:
        """The phone's list is older than the measure; the register is not."""
        page, text = gate.phone(), gate.code()
        scanned(page, text)
        told(page, ACCEPT, "The answer holds for this moment", "Fixing bonds")
        gate.suspend()
        page.route("**/check/lists/", lambda route: route.abort())
        scanned(page, text)
        told(page, REFUSE, "Suspended since")

    def test_another_name_under_a_genuine_signature_is_doubted(self, gate: Gate) -> None:
        """The register knows the card by another name."""
        page = gate.phone()
        scanned(page, gate.code(name="Somebody Else"))
        told(page, TELEPHONE, "not what the register says")

    def test_the_first_code_ever_is_judged_too(self, gate: Gate) -> None:
        """A phone that was never here opens the code by its camera."""
        page = fresh(gate.browser, gate.server.base, width=360).new_page()
        page.goto(f"/check#{gate.code()}")
        ready(page)
        told(page, ACCEPT, "The answer holds for this moment")


class TestWhatIsKept:
    def test_names_nobody(self, gate: Gate) -> None:
        """Keys and bits; no card that was looked at."""
        page = gate.phone()
        scanned(page, gate.code())
        held = page.evaluate("JSON.stringify(Object.entries(localStorage))")
        assert "root" in held
        assert not [each for each in ("Ada", "FB-", gate.code()) if each in held]
