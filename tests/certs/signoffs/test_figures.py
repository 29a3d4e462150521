"""One table of cases for both who work a bond out: the server, and the script on the page while it is typed.

figures.json says where its values come from. They were worked with decimals, not with the code under test.
"""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from certs.signoffs.forms import SheetForm
from certs.signoffs.queries import bounds_of, sheet, work_out
from certs.signoffs.rules import Bounds, proves
from tests.browser import fresh, let_in
from tests.cast import AT, ON, assemble
from tests.certs.factory import scheme_spec
from tests.certs.signoffs.making import Ground, lay, typed

TABLE = json.loads((Path(__file__).parent / "figures.json").read_text(encoding="utf-8"))
CASES: list[dict[str, Any]] = TABLE["cases"]


def bounds(name: str) -> Bounds:
    """Return what a scheme of the table asks."""
    asked = TABLE["schemes"][name]
    exact = {"joint_limit": "limit", "pack_floor": "floor", "meter_percent": "percent"}
    facts = {field: Decimal(asked[word]) for field, word in exact.items()}
    return bounds_of(scheme_spec(**facts, meter_digits=asked["digits"]))


@pytest.mark.django_db
@pytest.mark.parametrize("case", CASES, ids=[f"{n}" for n in range(len(CASES))])
def test_the_server_shows_it(case: dict[str, Any]) -> None:
    """Read as typed, worked out and printed as on the worked sheet."""
    ground = lay(assemble())
    page = sheet(ground.cast.olga, ground.cast.ada, ground.straight, replaces=None, at=AT, on=ON)
    given = {f"bond_1_{name}": "on" if value is True else value or None for name, value in case["typed"].items()}
    form = SheetForm(typed(ground.cast.ada, **given), page=page, count=3)
    assert form.is_valid(), form.errors
    line = work_out(form.sheet.bonds[:1], page.checks, frozenset(), bounds(case["scheme"])).lines[0]
    middle, worst, best = line.finding.rail_m
    near = ", nearer to the limit than the set can tell: read again" if line.finding.near else ""
    assert case["shown"] == {
        "pack": line.pack,
        "joint": f"{line.finding.joint_uohm} ± {line.finding.sure_uohm} µΩ{near}",
        "rail": f"{middle} m ({worst} to {best} m)",
        "result": f"Not good: {'; '.join(line.faults)}" if line.faults else "good",
    }


def open_sheet(browser: Browser, base: str, ground: Ground) -> Page:
    page = let_in(fresh(browser, base, width=360), base, ground.cast.client("olga"))
    page.goto(reverse("signoffs:sheet", args=[ground.cast.ada.pk, "straight"]))
    return page


@pytest.mark.django_db(transaction=True)
def test_the_script_shows_it(live_server: LiveServer, browser: Browser) -> None:
    """The same table, typed into the page in Chromium: the same words to the last digit."""
    ground = lay(assemble())
    page = open_sheet(browser, live_server.url, ground)
    bond = page.locator("[data-bond='1']")
    for name in ("ring", "wetted", "sound", "centred"):
        bond.locator(f"[name='bond_1_look_{name}']").check()
    bond.locator("[name='bond_1_hammer_good']").check()
    wrong = []
    for place, case in enumerate(CASES):
        lay_out(page, bounds(case["scheme"]))
        for name, value in case["typed"].items():
            field = bond.locator(f"[name='bond_1_{name}']")
            if isinstance(value, bool):
                field.set_checked(value)
            else:
                field.fill(value)
        shown = {name: bond.locator(f"[data-out='{name}']").inner_text() for name in case["shown"]}
        if shown != case["shown"]:
            wrong.append((place, shown, case["shown"]))
    page.context.close()
    assert wrong == []


def lay_out(page: Page, asked: Bounds) -> None:
    """Tell the script what a scheme asks, as its page would."""
    facts = {"limit": str(asked.joint_uohm), "floor": repr(float(asked.pack_floor)), "guard": repr(asked.guard_v)}
    page.locator("form[data-figures]").evaluate("(form, facts) => Object.assign(form.dataset, facts)", facts)


@pytest.mark.django_db(transaction=True)
def test_the_script_counts_the_run(live_server: LiveServer, browser: Browser) -> None:
    """Added bonds are counted, and what is left empty is as for the bond before."""
    ground = lay(assemble())
    page = open_sheet(browser, live_server.url, ground)
    page.get_by_role("button", name="Add a bond").click()
    expect(page.get_by_role("heading", name="Test bond 4")).to_be_visible()
    for n in range(1, 5):
        page.get_by_role("button", name=f"Bond {n}: all four look good").click()
        page.locator(f"[name='bond_{n}_hammer_good']").set_checked(n != 2)
        readings = {"pack_v": "39.6", "forward_uv": "730", "reversed_uv": "-470", "current_a": "10"}
        # The current of the later bonds is left as it was.
        for name, value in list(readings.items())[: 4 if n == 1 else 3]:
            page.locator(f"[name='bond_{n}_{name}']").fill(value)
    run = page.locator("[data-out='run']")
    expect(run).to_have_text(
        f"Good bonds: 3 of 4, which shows that at least {proves(3, 4)} % are good in the long run."
    )
    second = page.locator("[data-bond='2'] [data-out='result']")
    expect(second).to_have_text("Not good: did not hold in the hammer test")
    page.context.close()
