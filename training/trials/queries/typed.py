"""Values as a person would type them, and the links that set a situation."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.utils.translation import gettext as _

from training.questions.rounding import exact, printed, written
from training.questions.units import from_si, unit
from training.trials import rules
from training.trials.rules import START, Model

# The unit each value is asked for and printed in; what is not here is chosen, not typed.
UNITS = {
    "rest_voltage": "V",
    "pack_resistance": "mohm",
    "cell_temperature": "degC",
    "capacity": "Ah",
    "fired": "shots",
    "lead_area": "mm2",
    "air_temperature": "degC",
    "earth_resistance": "mohm",
    "other_resistance": "mohm",
    "arc_resistance": "mohm",
    "arc_voltage": "V",
    "wire_area": "mm2",
    "burn_time": "s",
    "meter_share": "%",
    "meter_digits": "1",
}


def typed(name: str, value: float | bool) -> str:
    """Return a value of a setting (SI) as it would be typed into its field."""
    if name == "leads":
        return "on" if value else "off"
    return f"{float(from_si(exact(value), UNITS[name])):g}"


def shown(value: float, spelling: str, decimals: int) -> str:
    """Return a value (SI) rounded, in a unit, as set in text."""
    return printed(written(from_si(exact(value), spelling), decimals), unit(spelling).symbol)


def set_to(name: str, value: float) -> str:
    """Return a value of a setting (SI) as typed, with its unit, as set in text."""
    return printed(typed(name, value), unit(UNITS[name]).symbol)


@dataclass(frozen=True, slots=True)
class Situation:
    """A link that sets a typical situation, with the current it gives by each model."""

    label: str
    query: str
    a: str
    b: str


def situations() -> tuple[Situation, ...]:
    """Return the typical situations, each one change or two away from the starting values."""
    dirty = START.earth_resistance + 0.020
    return (
        _situation(_("Starting values"), {}),
        _situation(_("Fresh off the charger, 40.8 V"), {"rest_voltage": 40.8}),
        _situation(_("Dirty earth, 20 mΩ more"), {"earth_resistance": dirty}),
        _situation(_("Leads off on a mild day"), {"leads": False}),
        _situation(_("Cold start: pack and air at −25 °C"), {"cell_temperature": -25.0, "air_temperature": -25.0}),
        _situation(
            _("Air at −30 °C, pack kept at +5 °C, leads off"),
            {"cell_temperature": 5.0, "air_temperature": -30.0, "leads": False},
        ),
        _situation(_("A reading this meter cannot settle, 38.1 V"), {"rest_voltage": 38.1}),
    )


def _situation(label: str, changes: Mapping[str, float | bool]) -> Situation:
    setting = replace(START, **changes)
    query = urlencode({name: typed(name, value) for name, value in changes.items()})
    a, b = (shown(rules.current(setting, model), "A", 0) for model in Model)
    return Situation(label, f"?{query}", a, b)
