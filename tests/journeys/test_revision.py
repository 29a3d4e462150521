"""A procedure changes: one holder reads it and answers, another lets it pass, and the board knows both on any day."""

import re
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.core.management import call_command
from django.utils import timezone
from playwright.sync_api import Page, expect

from certs.cards import operations
from certs.cards.models import Card
from certs.schemes.queries import current_issue
from tests.certs.factory import noon, signoff
from tests.company import ROOT
from tests.journeys.walk import Site, answer_holds, write
from training.bridges.models import Bridge
from training.people.rules import local_day
from training.procedures.models import Revision
from training.quizzes.models import SittingItem

OLD = "Count pins and ferrules for the job and some spare."
NEW = "Count pins and ferrules for the job and five spare."
CHANGED = re.compile(r'^changed = ".*"$', re.MULTILINE)
ASKS = """
[revision]
demand = "answer"
within_days = 30
overdue = "stops"
questions = ["pack-sum-of-three", "rested-39-5"]
"""


def issue(site: Site, username: str, *, on: date) -> Card:
    """Give a card under the scheme for rail bonds, on a practical passed that day."""
    person, assessor = site.company.people[username], site.company.people["edda"]
    scheme = current_issue("rail-bonds")
    signed = signoff(person, scheme, assessor=assessor, on=on)
    return operations.issue(
        person=person, scheme_issue=scheme, evidence_id=signed.pk, passed_on=on, issued_by=assessor, at=noon(on)
    )


def land(folder: Path) -> Revision:
    """Change a step in a copy of the content, say what that asks of holders, and load the copy."""
    shutil.copytree(ROOT / "fixtures" / "content", folder)
    procedure = folder / "setup" / "procedure.toml"
    text = procedure.read_text(encoding="utf-8")
    assert text.count(OLD) == len(CHANGED.findall(text)) == 1
    text = CHANGED.sub('changed = "Five spare pins: three were too few in the cold."', text)
    procedure.write_text(text.replace(OLD, NEW) + ASKS, encoding="utf-8")
    call_command("load_content", str(folder))
    return Revision.objects.get(module__slug="setup", number=2)


def answer(page: Page, *, but: str = "") -> None:
    """Answer the questions of the turn rightly, except the one of that key, which gets another number."""
    for position, asked in enumerate(Bridge.objects.get().asked, start=1):
        if asked["shown"]["key"] == but:
            page.locator(f"[name^='q{position}-']").first.fill("1 V")
        else:
            write(page, SittingItem(position=position, shown=asked["shown"], sealed=asked["sealed"]))
    page.get_by_role("button", name="Answer", exact=True).click()


def read_and_answer(page: Page) -> None:
    """Follow the home page's next step twice: read what changed, then answer until all is right."""
    main = page.get_by_role("main")
    page.goto("/")
    main.get_by_role("link", name="Read what changed: Setting up").first.click()
    main.get_by_role("link", name="What changed in revision 2").click()
    expect(main.locator("del")).to_have_text("removed: some")
    expect(main.locator("ins")).to_have_text("added: five")
    expect(main).to_contain_text("Five spare pins: three were too few in the cold.")
    main.get_by_role("link", name="To the procedure").click()
    answer_holds(page)
    main.get_by_role("button", name="I have read this").click()
    page.goto("/")
    main.get_by_role("link", name="Answer: Setting up").first.click()
    main.get_by_role("button", name="Show the 2 questions").click()
    answer(page, but="pack-sum-of-three")
    expect(main.get_by_role("heading", name="1 answer was not right")).to_be_visible()
    expect(main).to_contain_text("Working")
    answer(page)
    expect(page.get_by_role("status").first).to_contain_text("Every question was answered right")
    expect(main).to_contain_text("nothing more is asked of you")


class TestRevision:
    def test_is_answered_by_one_and_let_pass_by_another(
        self, site: Site, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """On its last day both may work; on the day after only who did what was asked."""
        today = local_day(timezone.now(), timezone.get_current_timezone())
        for username in ("moira", "tomas"):
            issue(site, username, on=today - timedelta(days=7))
        due = land(tmp_path / "content").due_on
        assert due == today + timedelta(days=30)
        by = f"{due.day} {due:%b %Y}"

        supervisor = site.enter("piet")
        section = supervisor.get_by_role("main")
        expect(section).to_contain_text(f"revision 2: read it, and answer by {by}")
        read_and_answer(site.enter("moira", width=360))

        rows = {name: supervisor.get_by_role("row").filter(has_text=name) for name in ("Moira Tarn", "Tomas Brandvik")}
        for day in (today, due):
            supervisor.goto(f"/board/?on={day}")
            expect(rows["Moira Tarn"]).to_contain_text(re.compile("Current(?!.*answer)", re.DOTALL))
            expect(rows["Tomas Brandvik"]).to_contain_text("Current")
            expect(rows["Tomas Brandvik"]).to_contain_text(f"read it, and answer by {by}")
        supervisor.goto(f"/board/?on={due + timedelta(days=1)}")
        expect(rows["Moira Tarn"]).to_contain_text("Current")
        expect(rows["Tomas Brandvik"]).to_contain_text(f"was due {by}")
        expect(rows["Tomas Brandvik"].locator(".standing")).to_contain_text(["Procedure overdue"])
