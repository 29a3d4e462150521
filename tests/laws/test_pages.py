"""Every page as every role: valid HTML, no inline script or style, accessible, and fitting a phone.

HTML is parsed by tinyhtml5, accessibility judged by axe-core (WCAG 2.2 A and AA rules and best practice), both at
1280 and at 360 px. Set FERRULE_PICTURES to a folder to keep a picture of every page.
"""

import json
import os
import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext, Page
from pytest_django.live_server_helper import LiveServer
from tinyhtml5.parser import HTMLParser

from certs.management.replay import Company
from tests.browser import fresh, let_in, sign_in
from tests.laws.contrast import Contrast
from tests.laws.test_permissions import ACTORS, TABLE, world

PICTURES = os.environ.get("FERRULE_PICTURES", "")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# Without preload: axe would fetch the imported style sheet again, from the wrong folder.
# What passes is not told in full: that took as long as looking.
AXE = {"runOnly": TAGS, "preload": False, "resultTypes": ["violations"]}
WIDE, PHONE = 1280, 360
# Heads of columns of numbers, which stand to the right, that do not stand to the right themselves.
ASKEW = """() => [...document.querySelectorAll("tbody td.number")].flatMap((cell) => {
    const head = cell.closest("table").tHead?.rows[0].cells[cell.cellIndex];
    return head && !cell.closest("tr").querySelector("[colspan]") && !head.classList.contains("number")
      ? [head.textContent] : [];
  })"""
# Colours are the same at every width and on most pages: judged apart, since they were half of the work.
AXE_WITHOUT_COLOURS = {**AXE, "rules": {"color-contrast": {"enabled": False}}}
# A block of JSON is data: no browser runs it.
INLINE = re.compile(r"<[^>]+\s(?:style|on\w+)=[^>]*>|<script(?![^>]*\s(?:src=|type=.application/json))[^>]*>")
# Not pages, or answers to a choice: a file, a part of a page, and what only a POST shows.
NOT_PAGES = {
    "amendments:toml",
    "analysis:paper_pdf",
    "analysis:question_pdf",
    "batches:pdf",
    "board:day_sheet",
    "cards:pdf",
    "credentials:issuer",
    "credentials:status",
    "exports:feed",
    "exports:register_csv",
    "exports:register_xlsx",
    "exports:visit",
    "jobs:sheet",
    "gates:standing",
    "keeping:health",
    "manifest",
    "checking:list_pdf",
    "checking:lists",
    "photos:photo",
    "portraits:at_check",
    "portraits:photo",
    "who",
    "drafts:toml",
    "procedures:drawing",
    "rosters:empty",
    "retention:copy",
    "rosters:present",
    "procedures:kept",
    "procedures:print",
    "signoffs:blank",
    "signoffs:paper",
    "signoffs:photo",
    "worker",
}


def pages(company: Company, actor: str) -> list[tuple[str, str]]:
    """Return the pages this actor may open, by name."""
    place = ACTORS.index(actor)
    people = company.people
    further = {
        "moira": [("result", "quizzes:sitting", {"pk": people["moira"].sittings.get(passed=True).pk})],
        "iver": [
            ("sheet", "signoffs:sheet", {"person": people["tomas"].pk, "scheme": "rail-bonds"}),
            ("signing", "signoffs:filled", {"pk": people["tomas"].sheets.get().pk}),
        ],
        "nadia": [("decision", "signoffs:decide", {"pk": people["kofi"].signoffs.get().pk})],
    }
    return [(name, reverse(url, kwargs=asked)) for name, url, asked in further.get(actor, [])] + [
        (name, reverse(name, kwargs=asked(company)))
        for name, (asked, got, _posted) in TABLE.items()
        if got.split()[place] == "200" and name not in NOT_PAGES
    ]


def faults(page: Page, address: str, picture: str, contrast: Contrast) -> list[str]:
    """Open a page, look at it on a wide screen and on a phone's, and return what is wrong with it."""
    said: list[str] = []
    listen = lambda message: said.append(message.text) if message.type == "error" else None  # noqa: E731
    page.on("console", listen)
    page.set_viewport_size({"width": WIDE, "height": 800})
    answer = page.goto(address)
    source = answer.text() if answer else ""
    found = [f"HTML: {code} at {place}" for place, code, _facts in parse(source)]
    found += [f"inline: {one}" for one in INLINE.findall(source)]
    found += look(page, WIDE, picture)
    found += [f"color-contrast: {one}" for one in contrast.pale(page)]
    page.set_viewport_size({"width": PHONE, "height": 800})
    found += look(page, PHONE, picture)
    found += [f"head of a column not above its numbers: {one}" for one in page.evaluate(ASKEW)]
    if page.evaluate("[...document.forms].some((form) => !form.noValidate && !form.dataset.queue)"):
        found.append("a form whose empty fields the browser tells of, before the site can")
    found += [f"console: {text}" for text in said]
    page.remove_listener("console", listen)
    return found


def look(page: Page, width: int, picture: str) -> list[str]:
    """Return what is wrong with an open page on a screen of that width, and keep its picture where one is wanted."""
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"{picture}-{width}.png", full_page=True)
    seen = violations(page, AXE_WITHOUT_COLOURS)
    found = [f"{one['id']}: {[node['html'][:90] for node in one['nodes']][:3]}" for one in seen]
    wide = page.evaluate("document.documentElement.scrollWidth")
    return found + ([f"{wide} px wide on a screen of {width}"] if wide > width else [])


def parse(source: str) -> list[tuple[object, str, object]]:
    """Return the parse errors of a page."""
    parser = HTMLParser()
    parser.parse(source)
    return list(parser.errors)


def violations(page: Page, rules: dict[str, object] = AXE) -> list[dict[str, object]]:
    """Return what axe-core objects to; a page that holds it already is not given it again."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(Axe().axe_script)
    found: list[dict[str, object]] = page.evaluate(f"axe.run({json.dumps(rules)}).then(found => found.violations)")
    return found


@pytest.mark.django_db(transaction=True)
class TestEveryPage:
    def entered(self, context: BrowserContext, base: str, company: Company, actor: str) -> Page:
        """Sign in; Moira, whose account the table shuts and gives a passkey, by the back door."""
        if actor != "moira":
            return sign_in(context, actor)
        client = Client()
        client.force_login(company.people[actor])
        return let_in(context, base, client)

    @pytest.mark.parametrize("actor", ["nobody", "moira", "piet", "iver", "nadia"])
    def test_is_sound(self, live_server: LiveServer, browser: Browser, actor: str) -> None:
        """Nothing to object to on any page this role can open."""
        company = world()
        context = fresh(browser, live_server.url, width=WIDE)
        context.add_init_script(Axe().axe_script)
        page = context.new_page() if actor == "nobody" else self.entered(context, live_server.url, company, actor)
        wrong, contrast = {}, Contrast()
        for name, address in pages(company, actor):
            if found := faults(page, address, f"{name.replace(':', '-')}-{actor}", contrast):
                wrong[name] = found
        context.close()
        assert wrong == {}


class TestTheLawItself:
    def test_finds_faults_in_a_bad_page(self, browser: Browser) -> None:
        """A page made to fail fails: this law can see."""
        page = browser.new_page()
        page.set_content("<html><body><img src='x'><input><p style='color:#aaa'>pale</p></body></html>")
        assert {one["id"] for one in violations(page)} >= {"image-alt", "label", "html-has-lang", "color-contrast"}
        assert parse("<!doctype html><title>t</title><p><table></p>")
        page.close()

    def test_judges_each_pairing_of_letters_and_ground_once(self, browser: Browser) -> None:
        """Black on white, and what is hidden is not judged; then the same again, pale, on a dark ground, and thin."""
        page, contrast = browser.new_page(), Contrast()
        page.set_content("<body style='background:#fff'><p>said</p><p style='color:#999' hidden>later</p></body>")
        violations(page)
        assert contrast.pale(page) == []
        assert len(contrast.judged) == 1
        texts = ("<p>again</p>", "<p style='color:#999'>pale</p>", "<div style='background:#666'><p>dark</p></div>")
        page.set_content(f"<body style='background:#fff'>{''.join(texts)}<p style='opacity:.3'>thin</p></body>")
        violations(page)
        assert [one[-8:-4] for one in contrast.pale(page)] == ["pale", "dark", "thin"]
        assert contrast.pale(page) == []
        page.close()
