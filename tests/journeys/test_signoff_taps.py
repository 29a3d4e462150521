"""How many taps a clean sheet takes: three bonds at the rail, in gloves, on a phone of 360 px.

A tap is a touch of the screen: on a box, a button or a field, and on each key of the keypad after that. The limit is
the project's own; what a glove can do in the cold has no published figure here.
"""

import json
import time
from dataclasses import dataclass, field
from uuid import uuid4

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, expect

from certs.management.replay import clean_sheet
from certs.schemes.queries import checks, current_issue
from certs.signoffs import operations as signoffs
from certs.signoffs.models import ReceivedSheet
from tests.browser import sign_in
from tests.journeys.walk import Site, make_ready

MOST_TAPS = 90


@dataclass
class Hand:
    """A hand that counts its taps."""

    taps: int = 0
    keys: int = 0
    begun: float = field(default_factory=time.monotonic)

    def tap(self, thing: Locator) -> None:
        """Touch a thing once."""
        thing.click()
        self.taps += 1

    def write(self, thing: Locator, text: str) -> None:
        """Touch a field and write on the keypad."""
        self.tap(thing)
        thing.fill("")
        thing.press_sequentially(text)
        self.keys += len(text)


def used_before(site: Site) -> None:
    """Let the assessor have sent a sheet with the same instruments this morning."""
    issue, iver, now = current_issue("rail-bonds"), site.company.people["iver"], timezone.now()
    filled = clean_sheet(issue, "Training siding", now.date(), 3)
    written = signoffs.Written(
        candidate=site.company.people["tomas"], scheme_issue=issue, assessor=iver, on_paper=False, sheet=filled
    )
    until = now.date().replace(year=now.year + 1).isoformat()
    fields = {
        "place": "Training siding", "volt_meter": "M-2041", "volt_until": until, "set_meter": "S-118",
        "set_until": until, "bond_1_pin_lot": "L2201", "bond_1_burn": "flush", "bond_1_current_a": "10",
    }  # fmt: skip
    raw = json.dumps({"made_by": iver.pk, "phone_time": now.isoformat(), "fields": fields}).encode()
    signoffs.receive(pk=uuid4(), raw=raw, by=iver, at=now, reader=lambda _sent: written)


@pytest.mark.django_db(transaction=True)
def test_a_clean_sheet_of_three_bonds(site: Site) -> None:
    """Every critical check ticked by itself, the others at one tap, the readings typed, the rest carried."""
    make_ready(site, "moira")
    used_before(site)

    context = site.browser.new_context(base_url=site.base, viewport={"width": 360, "height": 740}, has_touch=True)
    page = sign_in(context, "iver")
    page.goto("/signoffs/")
    page.get_by_role("link", name="Open the sheet for Moira Tarn").click()
    expect(page.get_by_role("button", name="More: Bond 1: Air, °C")).to_be_visible()
    expect(page.locator("form [data-kept]")).to_be_attached()
    hand = Hand()
    for check in checks(current_issue("rail-bonds")):
        if check.critical:
            box = page.locator(f"[name='check_{check.slug}']")
            assert not box.is_checked()
            hand.tap(page.locator(f"label[for='id_check_{check.slug}']"))
    for button in page.get_by_role("button", name="All others seen done right").all():
        hand.tap(button)
    bond = page.locator("[data-bond='1']")
    for name, text in (("air_c", "18"), ("cell_c", "6")):
        hand.write(bond.locator(f"[name='bond_1_{name}']"), text)
    hand.tap(bond.get_by_text("Bond 1: Air below zero"))
    hand.tap(bond.get_by_text("Both leads in the circuit"))
    for n, readings in enumerate([("39,6", "730", "470"), ("39,5", "742", "461"), ("39,5", "718", "468")], start=1):
        for name, text in zip(("pack_v", "forward_uv", "reversed_uv"), readings, strict=True):
            hand.write(page.locator(f"[name='bond_{n}_{name}']"), text)
        if n == 1:
            hand.tap(page.get_by_text("Bond 1: Reversed below zero"))
        hand.tap(page.get_by_role("button", name=f"Bond {n}: all four look good"))
        hand.tap(page.get_by_text(f"Bond {n}: Held in the hammer test"))
    expect(page.locator("[data-out='run']")).to_contain_text("Good bonds: 3 of 3, which shows that at least 36.8 %")
    hand.tap(page.get_by_role("button", name="Send to be signed"))
    expect(page.get_by_text("Sent. It is on record.")).to_be_visible()
    seconds = time.monotonic() - hand.begun

    kept = ReceivedSheet.objects.get(candidate=site.company.people["moira"])
    assert set(kept.reading["seen"]) == {check.slug for check in checks(current_issue("rail-bonds"))}
    assert [one["air_c"] for one in kept.reading["bonds"]] == ["-18.0"] * 3
    assert [one["reversed_uv"] for one in kept.reading["bonds"]] == ["-470.0", "-461.0", "-468.0"]
    assert {one["looks"] == ["centred", "ring", "sound", "wetted"] for one in kept.reading["bonds"]} == {True}
    whole = hand.taps + hand.keys
    print(f"\n{whole} taps ({hand.taps} on the page, {hand.keys} on the keypad), {seconds:.1f} s in Chromium")
    assert whole <= MOST_TAPS
    context.close()
