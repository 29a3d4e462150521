"""One shot, worked out by both models of the arc: loop, current, wire, charge, and what the rest reading proves.

Every figure comes from training.calc; this module only says which computation gets which value. SI units throughout,
temperatures in degC, shares as ratios.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from training.calc import cells, charge, circuit, fuse, leads, pack
from training.calc.cells import Band
from training.calc.pack import Judgement
from training.calc.ranges import OutOfRange

LEAD_LENGTH = 9.0  # m, each of the two leads (common practice, no source)
WARM = 20.0  # degC, where the resistance of the pack is given
FLOOR = 38.0  # V at rest: 3.17 V a cell, where these cells leave their plateau (derived from public measured data)
DISPLAY_STEP = 0.01  # V, last step of the meter's display
COVERAGE = 2.0  # guard band equal to the expanded uncertainty (ILAC-G8:09/2019)
USABLE = 0.9  # share of the capacity, a tenth kept in reserve (common practice, no source)
RATED = 240.0  # A, the current of a good shot (common practice, no source)
# A, assumed: no source gives a least current. The same wire takes 1.44 times as long here as at RATED.
WORKING_MINIMUM = 200.0

CELL_TEMPERATURES = tuple(float(cell) for cell in range(-25, 36, 5))
CURRENTS = tuple(float(current) for current in range(100, 341, 20))


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One situation: what the pack, the circuit, the meter and the wire are."""

    rest_voltage: float
    pack_resistance: float
    cell_temperature: float
    capacity: float
    fired: int
    leads: bool
    lead_area: float
    air_temperature: float
    earth_resistance: float
    other_resistance: float
    arc_resistance: float
    arc_voltage: float
    wire_area: float
    burn_time: float
    meter_share: float
    meter_digits: int


# Both models give 240 A here: 39.0 V over 162.5 mohm, and 39.0 V less 22 V over 70.84 mohm.
START = Setting(
    rest_voltage=39.0,
    pack_resistance=0.020,
    cell_temperature=20.0,
    capacity=14.0 * 3600,
    fired=0,
    leads=True,
    lead_area=35e-6,
    air_temperature=20.0,
    earth_resistance=0.005,
    other_resistance=0.03587,
    arc_resistance=0.09166,
    arc_voltage=22.0,
    wire_area=1.1e-6,
    burn_time=1.75,
    meter_share=0.005,
    meter_digits=2,
)


class Model(StrEnum):
    """How the arc is taken: A as a resistance, B as a steady voltage. The truth lies between."""

    A = "A"
    B = "B"


@dataclass(frozen=True, slots=True)
class Loop:
    """The resistances (ohm) in series; `whole` has the arc in it (model A), `cold_ratio` is in the pack's already."""

    pack: float
    leads: float
    earth: float
    other: float
    arc: float
    whole: float
    cold_ratio: float

    @property
    def contacts(self) -> float:
        """The earth contact and whatever else is in the loop, as the computations take them."""
        return self.earth + self.other


@dataclass(frozen=True, slots=True)
class Shot:
    """What one shot of the given burn time takes; `drops` are volts in the order pack, leads, earth, other, arc.

    `melts` is False at or below the current that a wire in still air bears for good. Areas (m2) are those that the
    current melts in the burn time.
    """

    drops: tuple[float, float, float, float, float]
    loaded_voltage: float
    charge: float
    energy: float
    full: int
    left: int
    earth_heat: float
    burn: "BurnPoint"
    melts: bool
    area: float
    adiabatic_area: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one model gives; without `shot` where a computation does not hold, and `outside` says why."""

    model: Model
    current: float
    shot: Shot | None
    outside: str


@dataclass(frozen=True, slots=True)
class Proof:
    """What the rest reading proves about the floor (V), and the band of charge that fits it, if the data reach it."""

    judgement: Judgement
    guard: float
    go_from: float
    no_go_below: float
    charge: Band | None


def lead_resistance(setting: Setting, *, at: float) -> float:
    """Resistance (ohm) of both leads of this size with the copper at a temperature (degC), in the circuit or not."""
    return leads.resistance_at(leads.class5(setting.lead_area), LEAD_LENGTH, at)


def loop(setting: Setting) -> Loop:
    """Work out the loop: cells at their own temperature, copper at that of the air."""
    ratio = cells.cold_ratio(setting.cell_temperature, WARM)
    cold = pack.cold_resistance(setting.pack_resistance, ratio)
    both = lead_resistance(setting, at=setting.air_temperature) if setting.leads else 0.0
    earth, other, arc = setting.earth_resistance, setting.other_resistance, setting.arc_resistance
    return Loop(cold, both, earth, other, arc, circuit.loop_resistance(cold, both, earth + other, arc), ratio)


def current(setting: Setting, model: Model) -> float:
    """Current (A) of a shot by one model; none in B where the arc takes the whole rest voltage."""
    found = loop(setting)
    if model is Model.A:
        return circuit.current(setting.rest_voltage, found.pack, found.leads, found.contacts, found.arc)
    return circuit.current_arc_voltage(
        setting.rest_voltage, setting.arc_voltage, found.pack, found.leads, found.contacts
    )


def never_melts(setting: Setting) -> float:
    """Current (A) up to which the wire, in still air, never melts (Preece)."""
    return fuse.preece_current(fuse.diameter(setting.wire_area))


def against_rated(amperes: float) -> float:
    """Return how many times as long as at RATED a wire takes at a current (A), no heat lost."""
    return fuse.time_ratio(1.0, RATED, amperes)


def outcome(setting: Setting, model: Model) -> Outcome:
    """Work out one shot by one model."""
    amperes = current(setting, model)
    try:
        return Outcome(model, amperes, _shot(setting, model, amperes), "")
    except OutOfRange as outside:
        return Outcome(model, amperes, None, str(outside))


def _shot(setting: Setting, model: Model, amperes: float) -> Shot:
    found, air, burn = loop(setting), setting.air_temperature, setting.burn_time
    loaded = pack.loaded_voltage(setting.rest_voltage, amperes, found.pack)
    pack_v, leads_v, earth_v, other_v, arc_v = (
        circuit.voltage_drop(amperes, part) for part in (found.pack, found.leads, found.earth, found.other, found.arc)
    )
    return Shot(
        drops=(pack_v, leads_v, earth_v, other_v, arc_v if model is Model.A else setting.arc_voltage),
        loaded_voltage=loaded,
        charge=charge.shot_charge(amperes, burn),
        energy=charge.shot_energy(loaded, amperes, burn),
        full=int(charge.shots_full(setting.capacity, USABLE, amperes, burn)),
        left=int(charge.shots_left(setting.capacity, USABLE, amperes, burn, setting.fired)),
        earth_heat=circuit.contact_heat(amperes, found.earth),
        burn=burn_point(setting, amperes),
        melts=amperes > never_melts(setting),
        area=fuse.onderdonk_area(amperes, burn, air),
        adiabatic_area=fuse.adiabatic_area(amperes, burn, air),
    )


def proof(setting: Setting) -> Proof:
    """Judge the rest reading against the floor. Raises OutOfRange for a meter without any error."""
    meter = (setting.meter_share, setting.meter_digits, DISPLAY_STEP)
    guard = pack.meter_expanded(FLOOR, *meter)
    judgement = pack.judge(
        reading=setting.rest_voltage,
        limit=FLOOR,
        reading_share=setting.meter_share,
        digits=setting.meter_digits,
        display_step=DISPLAY_STEP,
        coverage=COVERAGE,
    )
    return Proof(judgement, guard, pack.lowest_proving(FLOOR, *meter), FLOOR - guard, _charge(setting))


def _charge(setting: Setting) -> Band | None:
    error = pack.meter_half_width(setting.rest_voltage, setting.meter_share, setting.meter_digits, DISPLAY_STEP)
    try:
        return cells.charge_band(setting.rest_voltage, error)
    except OutOfRange:
        return None


def break_even(setting: Setting) -> float | None:
    """Cell temperature (degC) down to which leaving off the leads pays for the cooling of this pack; None past -25."""
    try:
        return cells.break_even_temperature(setting.pack_resistance, lead_resistance(setting, at=WARM))
    except OutOfRange:
        return None


@dataclass(frozen=True, slots=True)
class ColdPoint:
    """Currents (A) of both models at a cell temperature (degC)."""

    cell: float
    a: float
    b: float


def cold_curve(setting: Setting) -> Iterator[ColdPoint]:
    """Run the cells from -25 to +35 degC with everything else as set."""
    for cell in CELL_TEMPERATURES:
        there = replace(setting, cell_temperature=cell)
        yield ColdPoint(cell, current(there, Model.A), current(there, Model.B))


@dataclass(frozen=True, slots=True)
class BurnPoint:
    """Times (s) until the wire begins to melt and has melted through at a current (A)."""

    current: float
    begins: float
    through: float


def burn_point(setting: Setting, amperes: float) -> BurnPoint:
    """Return the wire's times at a current, no heat lost."""
    wire = (setting.wire_area, setting.air_temperature)
    return BurnPoint(amperes, fuse.onderdonk_time(amperes, *wire), fuse.melt_through_time(amperes, *wire))


def burn_curve(setting: Setting) -> Iterator[BurnPoint]:
    """Run the current from 100 to 340 A with everything else as set."""
    return (burn_point(setting, amperes) for amperes in CURRENTS)
