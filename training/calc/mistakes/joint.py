"""Wrong answers about pin, rail, bond and measurement."""

import math

from training.calc import joint, leads
from training.calc.joint import (
    BOND,
    CURRENT,
    DENSITY,
    DIAMETER,
    DRIVING,
    FORWARD,
    JOINT,
    LEAD,
    LEAD_R,
    LENGTH,
    PER_METRE,
    RAIL_AREA,
    READING,
    RESISTIVITY,
    REVERSED,
    SHARE,
    TYPICAL,
    WARMTH,
)
from training.calc.ranges import checked

MILLI = 1e-3


@checked(DIAMETER)
def area_radius(diameter: float) -> float:
    """Diameter taken as the radius (m2)."""
    return math.pi * diameter**2


@checked(DIAMETER)
def area_circumference(diameter: float) -> float:
    """Circumference in mm called mm2 (m2)."""
    return math.pi * diameter * MILLI


@checked(DIAMETER)
def area_square(diameter: float) -> float:
    """A square pin (m2)."""
    return diameter**2


@checked(DIAMETER, LENGTH, DENSITY)
def mass_radius(diameter: float, length: float, density: float) -> float:
    """Diameter taken as the radius (kg)."""
    return area_radius(diameter) * length * density


@checked(DIAMETER, LENGTH, DENSITY)
def mass_square(diameter: float, length: float, density: float) -> float:
    """A square pin (kg)."""
    return area_square(diameter) * length * density


@checked(RESISTIVITY, RAIL_AREA)
def rail_multiplied(resistivity: float, rail_area: float) -> float:
    """Resistivity times area, in uohm m and thousands of mm2 (ohm/m)."""
    return resistivity * rail_area * 1e3


@checked(RAIL_AREA)
def rail_copper(rail_area: float) -> float:
    """Resistivity of copper (ohm/m)."""
    return leads.RESISTIVITY / rail_area


@checked(RESISTIVITY, RAIL_AREA)
def rail_centimetres(resistivity: float, rail_area: float) -> float:
    """Area ten times too small (ohm/m)."""
    return joint.rail_resistance(resistivity, rail_area) * 10


@checked(RAIL_AREA)
def rail_mass_water(rail_area: float) -> float:
    """Density of water (kg/m)."""
    return rail_area * 1000


@checked(RAIL_AREA, DENSITY)
def rail_mass_pounds(rail_area: float, density: float) -> float:
    """Pounds for each yard called kilograms for each metre (kg/m)."""
    return joint.rail_mass(rail_area, density) / joint.KG_PER_M_IN_LB_PER_YD


@checked(TYPICAL)
def limit_half(typical: float) -> float:
    """Half the reading (ohm)."""
    return typical / 2


@checked(TYPICAL)
def limit_typical(typical: float) -> float:
    """The reading itself (ohm)."""
    return typical


@checked(BOND, RESISTIVITY, RAIL_AREA)
def equivalent_multiplied(bond_resistance: float, resistivity: float, rail_area: float) -> float:
    """Milliohms of the bond times milliohms for each km (m)."""
    return bond_resistance / MILLI * joint.rail_resistance(resistivity, rail_area) / 1e-6


@checked(BOND, RAIL_AREA)
def equivalent_copper(bond_resistance: float, rail_area: float) -> float:
    """Resistivity of copper (m)."""
    return bond_resistance / rail_copper(rail_area)


@checked(BOND, RESISTIVITY, RAIL_AREA)
def equivalent_centimetres(bond_resistance: float, resistivity: float, rail_area: float) -> float:
    """Area ten times too small (m)."""
    return bond_resistance / rail_centimetres(resistivity, rail_area)


@checked(PER_METRE, LENGTH, JOINT)
def bond_one_joint(resistance_per_metre: float, length: float, joint_resistance: float) -> float:
    """One joint (ohm)."""
    return resistance_per_metre * length + joint_resistance


@checked(PER_METRE, LENGTH)
def bond_no_joints(resistance_per_metre: float, length: float) -> float:
    """Cable only (ohm)."""
    return resistance_per_metre * length


@checked(PER_METRE, LENGTH, JOINT)
def bond_there_and_back(resistance_per_metre: float, length: float, joint_resistance: float) -> float:
    """Cable counted twice as well (ohm)."""
    return 2 * bond_one_joint(resistance_per_metre, length, joint_resistance)


@checked(RESISTIVITY, DIAMETER)
def spreading_radius(resistivity: float, diameter: float) -> float:
    """Diameter once (ohm)."""
    return resistivity / diameter


@checked(RESISTIVITY, DIAMETER)
def spreading_pi(resistivity: float, diameter: float) -> float:
    """Divided by the circumference (ohm)."""
    return resistivity / (math.pi * diameter)


@checked(RESISTIVITY, LENGTH, DIAMETER)
def bar_radius(resistivity: float, length: float, diameter: float) -> float:
    """Diameter taken as the radius (ohm)."""
    return resistivity * length / area_radius(diameter)


@checked(RESISTIVITY, LENGTH, DIAMETER)
def bar_square(resistivity: float, length: float, diameter: float) -> float:
    """A square pin (ohm)."""
    return resistivity * length / area_square(diameter)


@checked(RESISTIVITY, RAIL_AREA, LENGTH)
def extra_whole(resistivity: float, rail_area: float, length: float) -> float:
    """The whole length's resistance (ohm)."""
    return joint.rail_resistance(resistivity, rail_area) * length


@checked(RESISTIVITY, RAIL_AREA, SHARE)
def extra_one_metre(resistivity: float, rail_area: float, share: float) -> float:
    """Share of one metre (ohm)."""
    return joint.rail_resistance(resistivity, rail_area) * share


@checked(FORWARD, CURRENT)
def kelvin_one_polarity(forward_voltage: float, current: float) -> float:
    """Forward reading only (ohm)."""
    return forward_voltage / current


@checked(FORWARD, REVERSED, CURRENT)
def kelvin_added(forward_voltage: float, reversed_voltage: float, current: float) -> float:
    """Readings added with their signs, which leaves the offset (ohm)."""
    return (forward_voltage + reversed_voltage) / (2 * current)


@checked(FORWARD, REVERSED, CURRENT)
def kelvin_no_two(forward_voltage: float, reversed_voltage: float, current: float) -> float:
    """Difference not halved (ohm)."""
    return (forward_voltage - reversed_voltage) / current


@checked(FORWARD, REVERSED)
def offset_difference(forward_voltage: float, reversed_voltage: float) -> float:
    """Half the difference, which is the joint (V)."""
    return (forward_voltage - reversed_voltage) / 2


@checked(FORWARD, REVERSED)
def offset_no_two(forward_voltage: float, reversed_voltage: float) -> float:
    """Sum not halved (V)."""
    return forward_voltage + reversed_voltage


@checked(WARMTH)
def warm_no_current(warmth: float) -> float:
    """Microvolts called microohms (ohm)."""
    return joint.COPPER_IRON * warmth


@checked(WARMTH, CURRENT)
def warm_multiplied(warmth: float, current: float) -> float:
    """Multiplied by the current (ohm)."""
    return joint.COPPER_IRON * warmth * current


@checked(READING)
def joint_rail_left_in(reading: float) -> float:
    """Rail left in (ohm)."""
    return reading


@checked(READING, PER_METRE, LENGTH)
def joint_rail_added(reading: float, resistance_per_metre: float, length: float) -> float:
    """Rail added (ohm)."""
    return reading + resistance_per_metre * length


@checked(READING, PER_METRE)
def joint_whole_metre(reading: float, resistance_per_metre: float) -> float:
    """A whole metre of rail taken off (ohm)."""
    return reading - resistance_per_metre


@checked(LEAD, LEAD_R)
def share_is_drop(lead_current: float, lead_resistance: float) -> float:
    """Volts called a share."""
    return lead_current * lead_resistance


@checked(LEAD_R, DRIVING)
def share_no_current(lead_resistance: float, driving_voltage: float) -> float:
    """Current left out."""
    return lead_resistance / driving_voltage
