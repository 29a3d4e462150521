"""What the figures rest on: what is assumed, and where each formula comes from, with how sure that is."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from training.calc.catalogue import CATALOGUE
from training.calc.entries import COMPUTED, DERIVED, PRACTICE
from training.questions.rounding import written
from training.trials import rules
from training.trials.queries.typed import UNITS, set_to, shown
from training.trials.rules import START

USED = (
    "circuit.loop_resistance",
    "circuit.current",
    "circuit.current_arc_voltage",
    "leads.class5",
    "leads.copper_factor",
    "pack.cold_ratio",
    "pack.break_even_temperature",
    "fuse.onderdonk_time",
    "fuse.melt_through_time",
    "fuse.adiabatic_area",
    "fuse.preece_current",
    "charge.shot_charge",
    "charge.shot_energy",
    "charge.shots_left",
    "pack.meter_expanded",
    "pack.lowest_proving",
    "pack.conformance",
    "pack.charge_low",
)


@dataclass(frozen=True, slots=True)
class Ground:
    """What a figure is or does, where it comes from, and how sure that is."""

    says: str
    source: str
    tag: str


def sources() -> tuple[Ground, ...]:
    """Return each source of the catalogue once, with the computations that rest on it."""
    titles: dict[tuple[str, str], list[str]] = {}
    for entry in (CATALOGUE[key] for key in USED):
        titles.setdefault((entry.source, entry.tag), []).append(entry.title)
    return tuple(Ground("; ".join(says), source, tag) for (source, tag), says in titles.items())


def assumptions() -> tuple[Ground, ...]:
    """Return the values nobody measured here, the starting ones and the fixed ones."""
    own = _("no source: measure your own")
    words = {name: set_to(name, getattr(START, name)) for name in UNITS}
    words["minimum"], words["rated"] = shown(rules.WORKING_MINIMUM, "A", 0), shown(rules.RATED, "A", 0)
    words["times"] = written(rules.against_rated(rules.WORKING_MINIMUM), 2)
    words["length"], words["usable"] = shown(rules.LEAD_LENGTH, "m", 0), shown(rules.USABLE, "%", 0)
    slower = _("assumed: the same wire takes %(times)s times as long there as at %(rated)s")
    knee = _("3.17 V a cell, the end of the flat part; 8 to 20 %% of charge left, depending on the cell")
    chosen = _("chosen so that both models give %(rated)s at %(rest_voltage)s")
    rows = (
        (_("Working minimum of %(minimum)s"), slower, PRACTICE),
        (_("Floor of 38.0 V at rest"), knee, DERIVED),
        (_("Two leads of %(length)s each"), own, PRACTICE),
        (
            _("Pack of %(pack_resistance)s at 20 °C"),
            _("order of size, from one small cell: measure your own"),
            COMPUTED,
        ),
        (_("Pack of %(capacity)s, shot of %(burn_time)s"), _("inferred from the usual shots in a charge"), PRACTICE),
        (_("%(usable)s of the capacity used"), own, PRACTICE),
        (_("Arc voltage of %(arc_voltage)s"), _("20 to 25 V is usual; no measurement"), PRACTICE),
        (_("Arc of %(arc_resistance)s, other contacts of %(other_resistance)s"), chosen, COMPUTED),
        (
            _("Copper wire of %(wire_area)s"),
            _("what %(rated)s just melts in the shot; the real one is unknown"),
            COMPUTED,
        ),
    )
    return tuple(Ground(says % words, source % words, tag) for says, source, tag in rows)
