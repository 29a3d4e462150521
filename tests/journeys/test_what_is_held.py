"""A crew member looks up what is held on her and takes a copy; the administrator follows one record in the ledger."""

import json
from pathlib import Path

from playwright.sync_api import expect

from tests.journeys.walk import Site


class TestWhatIsHeld:
    def test_is_shown_and_taken_along(self, site: Site) -> None:
        phone = site.enter("moira", width=360)
        moira = site.company.people["moira"]
        phone.goto(f"/records/{moira.pk}/")
        phone.get_by_role("link", name="What is held on me").click()
        expect(phone.get_by_role("heading", level=1)).to_have_text("What is held on me")
        expect(phone.get_by_role("main")).to_contain_text("your name goes, a number stays")
        assert phone.evaluate("document.documentElement.scrollWidth") == 360
        with phone.expect_download() as begun:
            phone.get_by_role("link", name="Take a copy").click()
        assert begun.value.suggested_filename == "held.json"
        held = json.loads(Path(begun.value.path()).read_text(encoding="utf-8"))
        assert held["person"]["username"] == "moira"

        office = site.enter("nadia")
        office.goto("/keeping/")
        office.get_by_role("link", name="Who did what to which record").click()
        office.get_by_label("About", exact=True).select_option(label="person")
        office.get_by_label("Its number").fill(str(moira.pk))
        office.get_by_role("button", name="Show", exact=True).click()
        rows = office.get_by_role("table").get_by_role("row")
        expect(rows.filter(has_text="added a person")).to_contain_text(moira.name)
        assert f"record={moira.pk}" in office.url

        office.goto(f"/held/{moira.pk}/erase/")
        expect(office.get_by_role("main")).to_contain_text("The account is open. Close it first.")
