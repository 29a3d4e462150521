"""Wrong answers about heat, alloys and steel."""

from training.calc import heat
from training.calc.heat import (
    AC1,
    ALLOY,
    ARC_VOLTAGE,
    CARBON,
    CHROMIUM,
    CURRENT,
    END,
    LOWER,
    MANGANESE,
    MASS,
    NICKEL,
    PART,
    SILICON,
    SPECIFIC,
    START,
    STEEL_END,
    STEEL_START,
    TIME,
    UPPER,
    WHOLE,
)
from training.calc.joint import DENSITY, DIAMETER, LENGTH, pin_mass
from training.calc.mistakes.joint import mass_radius
from training.calc.ranges import OutOfRange, checked

KELVIN = 273.15
USUAL = 650.0  # degC, the figure that is quoted for every braze


@checked(MASS, SPECIFIC, END)
def heat_kelvin(mass: float, specific_heat: float, end_temperature: float) -> float:
    """Kelvin temperature taken as the rise (J)."""
    return mass * specific_heat * (end_temperature + KELVIN)


@checked(MASS, SPECIFIC, END)
def heat_no_start(mass: float, specific_heat: float, end_temperature: float) -> float:
    """Start taken as 0 degC (J)."""
    return mass * specific_heat * end_temperature


@checked(MASS, SPECIFIC, START, END)
def heat_thousand(mass: float, specific_heat: float, start_temperature: float, end_temperature: float) -> float:
    """Joules called kilojoules (J)."""
    return heat.heat(mass, specific_heat, start_temperature, end_temperature) * 1000


@checked(DIAMETER, LENGTH, DENSITY, SPECIFIC, END)
def pin_heat_kelvin(
    diameter: float, length: float, density: float, specific_heat: float, end_temperature: float
) -> float:
    """Kelvin temperature taken as the rise (J)."""
    return heat_kelvin(pin_mass(diameter, length, density), specific_heat, end_temperature)


@checked(DIAMETER, LENGTH, DENSITY, SPECIFIC, END)
def pin_heat_no_start(
    diameter: float, length: float, density: float, specific_heat: float, end_temperature: float
) -> float:
    """Start taken as 0 degC (J)."""
    return heat_no_start(pin_mass(diameter, length, density), specific_heat, end_temperature)


@checked(DIAMETER, LENGTH, DENSITY, SPECIFIC, START, END)
def pin_heat_radius(
    *,
    diameter: float,
    length: float,
    density: float,
    specific_heat: float,
    start_temperature: float,
    end_temperature: float,
) -> float:
    """Diameter taken as the radius (J)."""
    return heat.heat(mass_radius(diameter, length, density), specific_heat, start_temperature, end_temperature)


@checked(DIAMETER, LENGTH, DENSITY, SPECIFIC, START, END)
def pin_heat_thousand(
    *,
    diameter: float,
    length: float,
    density: float,
    specific_heat: float,
    start_temperature: float,
    end_temperature: float,
) -> float:
    """Joules called kilojoules (J)."""
    return heat_thousand(pin_mass(diameter, length, density), specific_heat, start_temperature, end_temperature)


@checked(MASS, STEEL_START, STEEL_END)
def steel_flat(mass: float, start_temperature: float, end_temperature: float) -> float:
    """Specific heat at the start for the whole way (J)."""
    return mass * heat.steel_specific_heat(start_temperature) * (end_temperature - start_temperature)


@checked(MASS, STEEL_START, STEEL_END)
def steel_hot(mass: float, start_temperature: float, end_temperature: float) -> float:
    """Specific heat at the end for the whole way (J)."""
    return mass * heat.steel_specific_heat(end_temperature) * (end_temperature - start_temperature)


@checked(CURRENT, ARC_VOLTAGE)
def arc_no_time(current: float, arc_voltage: float) -> float:
    """Power for one second (J)."""
    return current * arc_voltage


@checked(CURRENT, TIME)
def arc_no_voltage(current: float, shot_time: float) -> float:
    """Charge called energy (J)."""
    return current * shot_time


@checked(PART, WHOLE)
def share_upside_down(part_energy: float, whole_energy: float) -> float:
    """Whole over part."""
    if part_energy == 0:
        raise OutOfRange("The energy in the part must be above 0 J.")
    return whole_energy / part_energy


@checked(PART, WHOLE)
def share_rest(part_energy: float, whole_energy: float) -> float:
    """The share that went elsewhere."""
    return 1 - part_energy / whole_energy


@checked(UPPER, LOWER)
def margin_with_32(upper_temperature: float, lower_temperature: float) -> float:
    """The 32 of the Fahrenheit scale added to a difference (K)."""
    return heat.margin(upper_temperature, lower_temperature) + 32 / 1.8


@checked(UPPER, LOWER)
def margin_not_turned(upper_temperature: float, lower_temperature: float) -> float:
    """Kelvin called Fahrenheit (K)."""
    return heat.margin(upper_temperature, lower_temperature) / 1.8


@checked(UPPER, LOWER)
def margin_in_fahrenheit(upper_temperature: float, lower_temperature: float) -> float:
    """Fahrenheit called kelvin (K)."""
    return heat.margin(upper_temperature, lower_temperature) * 1.8


@checked(UPPER, LOWER)
def margin_kelvin(upper_temperature: float, lower_temperature: float) -> float:
    """273 added to a difference (K)."""
    return heat.margin(upper_temperature, lower_temperature) + KELVIN


@checked(MANGANESE, NICKEL, SILICON, CHROMIUM)
def ac1_manganese_up(manganese: float, nickel: float, silicon: float, chromium: float) -> float:
    """Manganese with the wrong sign (degC)."""
    return heat.ac1(manganese, nickel, silicon, chromium) + 100 * 2 * 10.7 * manganese


@checked(MANGANESE, NICKEL, CHROMIUM)
def ac1_no_silicon(manganese: float, nickel: float, chromium: float) -> float:
    """Silicon left out (degC)."""
    return heat.ac1(manganese, nickel, 0.0, chromium)


@checked(CARBON)
def martensite_no_manganese(carbon: float) -> float:
    """Manganese left out (degC)."""
    return heat.martensite_start(carbon, 0.0)


@checked(CARBON, MANGANESE)
def martensite_added(carbon: float, manganese: float) -> float:
    """Manganese with the wrong sign (degC)."""
    return heat.martensite_start(carbon, manganese) + 100 * 2 * 30.4 * manganese


@checked(AC1, ALLOY)
def liquidus_solidus(ac1: float, alloy: int) -> float:
    """Solidus for liquidus (K)."""
    return ac1 - heat.alloy_solidus(alloy)


@checked(AC1)
def liquidus_usual(ac1: float) -> float:
    """650 degC for every alloy (K)."""
    return ac1 - USUAL


@checked(AC1, ALLOY)
def liquidus_fahrenheit(ac1: float, alloy: int) -> float:
    """Fahrenheit called kelvin (K)."""
    return heat.liquidus_margin(ac1, alloy) * 1.8
