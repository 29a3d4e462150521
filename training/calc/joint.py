"""Joint: pin, rail, bond and the four-wire measurement."""

import math
from dataclasses import dataclass

from training.calc.ranges import OutOfRange, Slot, checked

STEEL_DENSITY = 7850.0  # kg/m3, the figure behind the rail masses of EN 13674-1
KG_PER_M_IN_LB_PER_YD = 0.45359237 / 0.9144
COPPER_IRON = 13e-6  # V/K, thermal voltage of copper against iron (from memory)


@dataclass(frozen=True, slots=True)
class Rail:
    """A rail section: name, area m2, mass kg/m."""

    name: str
    area: float
    mass: float


# EN 13674-1:2011 for the E1 sections (49E1 from memory); masses of the RE sections from lb/yd, two areas from the mass
RAILS = (
    Rail("49E1", 6292e-6, 49.39),
    Rail("54E1", 6977e-6, 54.77),
    Rail("60E1", 7670e-6, 60.21),
    Rail("100RE", 50.35 / STEEL_DENSITY, 50.35),
    Rail("115RE", 56.80 / STEEL_DENSITY, 56.80),
    Rail("136RE", 8590e-6, 67.50),
)

DIAMETER = Slot("diameter", "d", "m", "diameter of the pin", 0.001, 0.03)
LENGTH = Slot("length", "L", "m", "length", 0.0001, 1000)
DENSITY = Slot("density", "rho", "kg/m3", "density", 1000, 20_000)
RESISTIVITY = Slot("resistivity", "rho", "ohm*m", "resistivity", 1e-8, 1e-6)
RAIL_AREA = Slot("rail_area", "A", "m2", "cross-section of the rail", 1e-3, 2e-2)
BOND = Slot("bond_resistance", "R_b", "ohm", "resistance of the bond", 1e-6, 0.1)
PER_METRE = Slot("resistance_per_metre", "R'", "ohm/m", "resistance of a metre", 1e-6, 0.01)
JOINT = Slot("joint_resistance", "R_j", "ohm", "resistance of one joint", 0, 0.01)
SHARE = Slot("share", "x", "1", "share allowed on top", 0.001, 1)
FORWARD = Slot("forward_voltage", "V+", "V", "voltage with the current forward", -0.1, 0.1)
REVERSED = Slot("reversed_voltage", "V-", "V", "voltage with the current reversed", -0.1, 0.1)
CURRENT = Slot("current", "I", "A", "measuring current", 0.01, 200)
WARMTH = Slot("warmth", "dT", "K", "joint's temperature above the rail", 0, 700)
VOLTS_SHARE = Slot("reading_share", "p", "1", "set's share of the reading", 0, 0.1)
CURRENT_SHARE = Slot("current_share", "q", "1", "set's share of the current", 0, 0.1)
DIGITS = Slot("digits", "d", "1", "set's number of digits", 0, 1000, whole=True)
STEP = Slot("display_step", "r", "V", "last step of the display", 1e-9, 1e-3)
READING = Slot("reading", "R", "ohm", "reading across joint and rail", 0, 0.1)
TYPICAL = Slot("typical", "R_m", "ohm", "middle reading of good test bonds", 1e-6, 0.1)
LEAD = Slot("lead_current", "I", "A", "current in the lead", 0, 100)
LEAD_R = Slot("lead_resistance", "R", "ohm", "resistance of lead and connections", 0, 10)
DRIVING = Slot("driving_voltage", "U", "V", "driving voltage", 0.01, 50)


@checked(DIAMETER)
def pin_area(diameter: float) -> float:
    """Area (m2) of a round pin."""
    return math.pi * diameter**2 / 4


@checked(DIAMETER, LENGTH, DENSITY)
def pin_mass(diameter: float, length: float, density: float) -> float:
    """Mass (kg) of a round pin."""
    return pin_area(diameter) * length * density


@checked(RESISTIVITY, RAIL_AREA)
def rail_resistance(resistivity: float, rail_area: float) -> float:
    """Resistance of a metre of rail (ohm/m); the resistivity is known to some 20 % only."""
    return resistivity / rail_area


@checked(RAIL_AREA, DENSITY)
def rail_mass(rail_area: float, density: float) -> float:
    """Mass of a metre of rail (kg/m)."""
    return rail_area * density


@checked(BOND, RESISTIVITY, RAIL_AREA)
def equivalent_length(bond_resistance: float, resistivity: float, rail_area: float) -> float:
    """Length of rail (m) that has the resistance of the bond; as uncertain as the resistivity."""
    return bond_resistance / rail_resistance(resistivity, rail_area)


@checked(PER_METRE, LENGTH, JOINT)
def bond_resistance(resistance_per_metre: float, length: float, joint_resistance: float) -> float:
    """Resistance (ohm) of a bond: its cable and a joint at either end."""
    return resistance_per_metre * length + 2 * joint_resistance


@checked(RESISTIVITY, DIAMETER)
def spreading_resistance(resistivity: float, diameter: float) -> float:
    """Resistance (ohm) from a round contact into a large body (Holm, Electric Contacts)."""
    return resistivity / (2 * diameter)


@checked(RESISTIVITY, LENGTH, DIAMETER)
def bar_resistance(resistivity: float, length: float, diameter: float) -> float:
    """Resistance (ohm) along a pin or through a braze layer."""
    return resistivity * length / pin_area(diameter)


@checked(RESISTIVITY, RAIL_AREA, LENGTH, SHARE)
def allowed_extra(resistivity: float, rail_area: float, length: float, share: float) -> float:
    """Resistance (ohm) a joint may add to one rail length, as a share of that length's own."""
    return share * rail_resistance(resistivity, rail_area) * length


@checked(FORWARD, REVERSED, CURRENT)
def kelvin(forward_voltage: float, reversed_voltage: float, current: float) -> float:
    """Resistance (ohm), four wires, both polarities: what does not turn with the current cancels."""
    return (forward_voltage - reversed_voltage) / (2 * current)


@checked(FORWARD, REVERSED)
def offset(forward_voltage: float, reversed_voltage: float) -> float:
    """Voltage (V) that does not turn with the current: heat and the meter's own."""
    return (forward_voltage + reversed_voltage) / 2


@checked(FORWARD, REVERSED, CURRENT, VOLTS_SHARE, DIGITS, STEP, CURRENT_SHARE)
def kelvin_expanded(
    *,
    forward_voltage: float,
    reversed_voltage: float,
    current: float,
    reading_share: float,
    digits: int,
    display_step: float,
    current_share: float,
) -> float:
    """Expanded uncertainty (ohm, coverage factor 2) of the four-wire resistance, by the set's largest errors.

    Rectangular distributions (JCGM 100:2008, 4.3.7). The share of the reading is one error of one meter, so it falls
    on the difference as a whole; the digits fall on each reading by itself (5.1.2 and 5.2.1).
    """
    resistance = (forward_voltage - reversed_voltage) / (2 * current)
    gain = resistance * resistance * (reading_share * reading_share + current_share * current_share)
    step = digits * display_step / current
    return 2 * math.sqrt((gain + step * step / 2) / 3)


@checked(WARMTH, CURRENT)
def warm_error(warmth: float, current: float) -> float:
    """Resistance (ohm) that a warm joint seems to add when read with one polarity."""
    return COPPER_IRON * warmth / current


@checked(READING, PER_METRE, LENGTH)
def joint_only(reading: float, resistance_per_metre: float, length: float) -> float:
    """Resistance (ohm) of the joint after the rail between the probes is taken off."""
    left = reading - resistance_per_metre * length
    if left < 0:
        raise OutOfRange("The reading must be at least the resistance of the rail between probes.")
    return left


@checked(TYPICAL)
def site_limit(typical: float) -> float:
    """Limit (ohm) from good test bonds, middle reading and half as much again (common practice)."""
    return 1.5 * typical


@checked(LEAD, LEAD_R, DRIVING)
def lead_drop_share(lead_current: float, lead_resistance: float, driving_voltage: float) -> float:
    """Share of the driving voltage that a cathodic protection lead takes."""
    return lead_current * lead_resistance / driving_voltage
