"""A roster brought in by an administrator on a phone: faults seen, mended, asked about, applied, and undone."""

import os
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.journeys.walk import Site
from training.people.models import Person

PICTURES = os.environ.get("FERRULE_PICTURES", "")
HEADS = "Number;Name;E-mail;Crew;Last day\n"
FAULTY = (
    HEADS + "41;Nils Orre;nils@example.org;Gang West;\n42;山田 太郎;;Gang North;03/04/2026\n;Ines Várga;;Night gang;\n"
)
MENDED = HEADS + "41;Nils Orre;nils@example.org;Gang North;\n42;山田 太郎;;Gang North;\n;Ines Várga;;Night gang;\n"


def choose(page: Page, text: str) -> None:
    file = {"name": "roster.csv", "mimeType": "text/csv", "buffer": text.encode("utf-8-sig")}
    page.get_by_label("File, CSV or XLSX").set_input_files(file)
    page.get_by_role("button", name="Check the file").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Roster of Harrowmere Permanent Way: look it over")


def look(page: Page, name: str) -> None:
    if PICTURES:
        page.screenshot(path=Path(PICTURES) / f"roster-{name}.png", full_page=True)


class TestRoster:
    def test_is_checked_mended_applied_and_undone(self, site: Site) -> None:
        page = site.enter("nadia", width=360)
        ines = site.company.people["ines"]
        page.goto("/people/")
        page.get_by_role("link", name="Bring in a roster").click()
        look(page, "1-bring")
        page.locator("#id_employer").select_option(label="Harrowmere Permanent Way")
        choose(page, FAULTY)
        main = page.get_by_role("main")
        expect(main).to_contain_text("There is no crew “Gang West” at this employer.")
        expect(main).to_contain_text("Write the day as year-month-day, such as 2026-04-03")
        expect(main.get_by_role("rowheader", name="Line 3")).to_be_visible()
        expect(main.get_by_role("button", name="Apply")).to_have_count(0)
        look(page, "2-faults")

        choose(page, MENDED)
        expect(main).to_contain_text("One line needs your answer first.")
        page.get_by_label("Yes: Ines Varga, Gang South").check()
        look(page, "3-ask")
        page.get_by_role("button", name="Keep the answers").click()
        expect(main).to_contain_text("Name: Ines Varga becomes Ines Várga")
        look(page, "4-ready")
        assert not Person.objects.filter(name="Nils Orre").exists()
        page.get_by_role("button", name="Apply 3 changes").click()
        expect(page.get_by_role("status").first).to_contain_text("The roster is applied.")
        look(page, "5-applied")

        page.get_by_role("link", name="Who has no sign-in yet").click()
        expect(main.get_by_role("link", name="山田 太郎")).to_be_visible()
        look(page, "6-without")
        page.go_back()
        page.get_by_role("link", name="Undo this roster").click()
        page.get_by_role("button", name="Undo this roster").click()
        expect(page.get_by_role("status").first).to_contain_text("The roster is undone")
        assert not Person.objects.filter(name="Nils Orre").exists()
        ines.refresh_from_db()
        assert ines.name == "Ines Varga"
