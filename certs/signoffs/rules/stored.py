"""A sheet as JSON values, so that what is signed is what was read when it came, and back."""

from collections.abc import Mapping
from datetime import date, time
from decimal import Decimal
from typing import Any
from uuid import UUID

from certs.signoffs.rules.bonds import Again, Bond, Look
from certs.signoffs.rules.sheets import Instrument, Pause, Sheet, Tool

NUMBERS = ("pack_v", "forward_uv", "reversed_uv", "current_a")
DEGREES = ("air_c", "cell_c")
PLAIN = ("pin_lot", "visual_good", "hammer_good", "spot", "meter", "leads_in", "burn", "why")


def as_json(sheet: Sheet) -> dict[str, Any]:
    """Return a sheet as JSON values; exact numbers as text. How and by whom it was confirmed is not part of it."""
    return {
        "key": str(sheet.key),
        "replaces": str(sheet.replaces) if sheet.replaces else None,
        "assessed_on": sheet.assessed_on.isoformat(),
        "place": sheet.place,
        "air_c": str(sheet.air_c),
        "leads_in": sheet.leads_in,
        "instruments": [instrument_json(one) for one in sheet.instruments],
        "started": clock(sheet.started),
        "stopped": clock(sheet.stopped),
        "pauses": [pause_json(one) for one in sheet.pauses],
        "seen": sorted(sheet.seen),
        "bonds": [_bond_json(one) for one in sheet.bonds],
        "remarks": sheet.remarks,
    }


def clock(moment: time | None) -> str | None:
    """Return a time of day as hours and minutes."""
    return moment.strftime("%H:%M") if moment else None


def instrument_json(one: Instrument) -> dict[str, str]:
    """Return an instrument as JSON values."""
    return {"tool": one.tool.value, "serial": one.serial, "until": one.calibrated_until.isoformat()}


def pause_json(one: Pause) -> dict[str, str]:
    """Return an interruption as JSON values."""
    return {"begun": one.begun.strftime("%H:%M"), "ended": one.ended.strftime("%H:%M"), "why": one.why}


def _bond_json(one: Bond) -> dict[str, Any]:
    degrees = {name: getattr(one, name) for name in DEGREES}
    return {
        **{name: getattr(one, name) for name in PLAIN},
        **{name: str(getattr(one, name)) for name in NUMBERS},
        **{name: None if value is None else str(value) for name, value in degrees.items()},
        "looks": sorted(look.value for look in one.looks),
        "again": one.again.value,
    }


def sheet_from(stored: Mapping[str, Any], *, confirmed: bool) -> Sheet:
    """Return the sheet that `as_json` wrote down."""
    first, *further = (
        Instrument(Tool(one["tool"]), one["serial"], date.fromisoformat(one["until"])) for one in stored["instruments"]
    )
    return Sheet(
        key=UUID(stored["key"]),
        replaces=UUID(stored["replaces"]) if stored["replaces"] else None,
        assessed_on=date.fromisoformat(stored["assessed_on"]),
        place=stored["place"],
        air_c=Decimal(stored["air_c"]),
        leads_in=stored["leads_in"],
        meter=first.serial,
        calibrated_until=first.calibrated_until,
        further=tuple(further),
        started=_time(stored["started"]),
        stopped=_time(stored["stopped"]),
        pauses=tuple(
            Pause(time.fromisoformat(one["begun"]), time.fromisoformat(one["ended"]), one["why"])
            for one in stored["pauses"]
        ),
        seen=frozenset(stored["seen"]),
        bonds=tuple(_bond(one) for one in stored["bonds"]),
        confirmed=confirmed,
        remarks=stored["remarks"],
    )


def _time(text: str | None) -> time | None:
    return time.fromisoformat(text) if text else None


def _bond(stored: Mapping[str, Any]) -> Bond:
    facts: dict[str, Any] = {name: stored[name] for name in PLAIN}
    facts |= {name: Decimal(stored[name]) for name in NUMBERS}
    facts |= {name: None if stored[name] is None else Decimal(stored[name]) for name in DEGREES}
    return Bond(**facts, looks=frozenset(Look(look) for look in stored["looks"]), again=Again(stored["again"]))
