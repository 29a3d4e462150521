"""How a sheet begins: empty, from the last one of this assessor, or from the record it corrects."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from certs.signoffs.forms.bonds import as_typed
from certs.signoffs.forms.parts import DIAL
from certs.signoffs.forms.sheet import MOST_PAUSES, SheetForm
from certs.signoffs.models import Signoff
from certs.signoffs.queries import MOST_BONDS, SheetPage, bonds_of
from certs.signoffs.rules import Look, Tool

# Interruptions laid out at first, folded: without a signal there is no button to add one.
PAUSES = 3
GOOD_CHECKS, GOOD_BOND = "good-checks-", "good-bond-"


def fresh(page: SheetPage, *, count: int, on_paper: bool = False) -> SheetForm:
    """Return an empty sheet; for a correction it holds what the old record says, except the signatures.

    What was last used stands in it already: instruments, lot, burn setting, measuring current. No check does.
    """
    initial: dict[str, Any] = {
        "key": uuid4(),
        "candidate": page.candidate.pk,
        "scheme": page.issue.scheme.slug,
        "issue": page.issue.number,
        "bonds": count,
        "replaces": page.replaces and page.replaces.pk,
        "on_paper": "yes" if on_paper else "",
        "phone_time": page.at.isoformat(),
        "assessed_on": page.on,
        **{f"bond_{n}_spot": str(n) for n in range(1, count + 1)},
    }
    if not on_paper:
        initial["started"] = page.time_of_day
    initial |= page.last_used
    if page.replaces is not None:
        initial |= _as_signed(page.replaces)
    pauses = max(PAUSES, len(page.replaces.pauses) if page.replaces else 0)
    return SheetForm(page=page, count=count, pauses=pauses, initial=initial | {"pauses": pauses})


def _as_signed(old: Signoff) -> dict[str, Any]:
    initial: dict[str, Any] = {name: getattr(old, name) for name in ("assessed_on", "place", "remarks")}
    initial |= {name: value for name in ("started", "stopped") if (value := getattr(old, name))}
    tools = {one["serial"]: Tool(one["tool"]) for one in old.instruments}
    for one in old.instruments or [{"tool": Tool.VOLT.value, "serial": old.meter, "until": old.calibrated_until}]:
        name = DIAL[Tool(one["tool"])]
        initial |= {f"{name}_meter": one["serial"], f"{name}_until": one["until"]}
    # What must be right is looked at again.
    initial |= {f"check_{one['slug']}": one["seen"] for one in old.checks if not one["critical"]}
    for n, pause in enumerate(old.pauses, start=1):
        initial |= {f"pause_{n}_{name}": value for name, value in pause.items()}
    for n, bond in enumerate(bonds_of(old), start=1):
        initial |= {f"bond_{n}_{name}": value for name, value in as_typed(bond, tools).items()}
    # Records older than these fields said it once for all bonds.
    bare = {"air_c": old.air_c, "leads": "in" if old.leads_in else "out"}
    return initial | {f"bond_1_{name}": value for name, value in bare.items() if not initial.get(f"bond_1_{name}")}


def lay_out(data: Mapping[str, Any], *, page: SheetPage) -> SheetForm:
    """Return a sheet for what was sent, with as many bonds and interruptions as it says."""
    return SheetForm(data, page=page, count=count_of(data.get("bonds", ""), page=page), pauses=pauses_of(data))


def grown(form: SheetForm, act: str) -> SheetForm | None:
    """Return the sheet after a button that needs no script: a bond or an interruption more, or good ones ticked."""
    typed, page = form.typed(), form.page
    count, pauses = form.count, form.pause_count
    if act == "add":
        count = count_of(str(count), page=page, more=1)
        typed |= {"bonds": count, f"bond_{count}_spot": typed.get(f"bond_{count}_spot") or str(count)}
    elif act == "add-pause":
        pauses = min(pauses + 1, MOST_PAUSES)
        typed |= {"pauses": pauses}
    elif act.startswith(GOOD_CHECKS):
        # What must be right is ticked one by one, never all at once.
        others = [one for one in page.checks if not one.critical and one.module == act.removeprefix(GOOD_CHECKS)]
        typed |= {f"check_{one.slug}": True for one in others}
    elif act.startswith(GOOD_BOND):
        typed |= {f"bond_{act.removeprefix(GOOD_BOND)}_look_{look.value}": True for look in Look}
    else:
        return None
    return SheetForm(page=page, count=count, pauses=pauses, initial=typed)


def count_of(typed: Any, *, page: SheetPage, more: int = 0) -> int:
    """Return how many bonds to lay out: what is asked for, at least what the scheme wants, never a runaway number."""
    wanted = page.wanted.bonds
    return max(wanted, min(_number(typed, wanted) + more, max(MOST_BONDS, wanted)))


def pauses_of(data: Mapping[str, Any]) -> int:
    """Return how many interruptions to lay out."""
    return max(1, min(_number(data.get("pauses", ""), 1), MOST_PAUSES))


def _number(typed: Any, otherwise: int) -> int:
    text = str(typed)
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else otherwise
