"""Heat of the pin, arc and steel; alloys and the temperature at which steel turns."""

import math

from training.calc.joint import DENSITY, DIAMETER, LENGTH, pin_mass
from training.calc.ranges import OutOfRange, Slot, checked

# silver alloy by its ISO 17672 number: solidus, liquidus, degC (dealer's list; match from memory)
ALLOYS = (
    (156, 620.0, 655.0),
    (155, 630.0, 660.0),
    (145, 640.0, 680.0),
    (140, 650.0, 710.0),
    (134, 630.0, 730.0),
    (130, 665.0, 755.0),
)

STEEL = Slot("temperature", "T", "degC", "temperature of the steel", 20, 1200)
START = Slot("start_temperature", "T1", "degC", "temperature at the start", -50, 1200)
END = Slot("end_temperature", "T2", "degC", "temperature at the end", -50, 1200)
STEEL_START = Slot("start_temperature", "T1", "degC", "temperature at the start", 20, 1200)
STEEL_END = Slot("end_temperature", "T2", "degC", "temperature at the end", 20, 1200)
MASS = Slot("mass", "m", "kg", "mass", 1e-5, 100)
SPECIFIC = Slot("specific_heat", "c", "J/(kg*K)", "specific heat", 100, 5000)
CURRENT = Slot("current", "I", "A", "current", 1, 1000)
ARC_VOLTAGE = Slot("arc_voltage", "V_a", "V", "arc voltage", 1, 60)
TIME = Slot("shot_time", "t", "s", "time of the shot", 0.01, 10)
PART = Slot("part_energy", "E1", "J", "energy in the part", 0, 1e6)
WHOLE = Slot("whole_energy", "E", "J", "energy in all", 1, 1e6)
UPPER = Slot("upper_temperature", "T2", "degC", "upper temperature", -273.15, 2000)
LOWER = Slot("lower_temperature", "T1", "degC", "lower temperature", -273.15, 2000)
MANGANESE = Slot("manganese", "Mn", "1", "share of manganese", 0, 0.02)
NICKEL = Slot("nickel", "Ni", "1", "share of nickel", 0, 0.05)
SILICON = Slot("silicon", "Si", "1", "share of silicon", 0, 0.02)
CHROMIUM = Slot("chromium", "Cr", "1", "share of chromium", 0, 0.05)
CARBON = Slot("carbon", "C", "1", "share of carbon", 0, 0.009)
ALLOY = Slot("alloy", "Ag", "1", "number of the silver alloy", 130, 156, whole=True)
AC1 = Slot("ac1", "Ac1", "degC", "temperature at which the steel turns", 600, 850)
PIN = Slot("diameter", "d", "m", "diameter of the pin", 0.001, 0.03)


def _low(t: float) -> float:
    return 425 * t + 0.773 / 2 * t**2 - 1.69e-3 / 3 * t**3 + 2.22e-6 / 4 * t**4


def _below_peak(t: float) -> float:
    return 666 * t - 13002 * math.log(738 - t)


def _above_peak(t: float) -> float:
    return 545 * t + 17820 * math.log(t - 731)


def _high(t: float) -> float:
    return 650 * t


# EN 1993-1-2:2005 3.4.1.2 in pieces: from, to (degC), antiderivative of the specific heat
PIECES = (
    (20.0, 600.0, _low),
    (600.0, 735.0, _below_peak),
    (735.0, 900.0, _above_peak),
    (900.0, 1200.0, _high),
)


@checked(STEEL)
def steel_specific_heat(temperature: float) -> float:
    """Specific heat (J/(kg K)) of steel (EN 1993-1-2:2005 3.4.1.2)."""
    t = temperature
    if t < 600:
        return 425 + 0.773 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3
    if t < 735:
        return 666 + 13002 / (738 - t)
    return 545 + 17820 / (t - 731) if t < 900 else 650.0


@checked(STEEL_START, STEEL_END)
def steel_enthalpy(start_temperature: float, end_temperature: float) -> float:
    """Heat (J/kg) that takes steel from one temperature to the other, negative on cooling."""
    if end_temperature < start_temperature:
        return -steel_enthalpy(end_temperature, start_temperature)
    total = 0.0
    for low, high, stored in PIECES:
        bottom, top = max(low, start_temperature), min(high, end_temperature)
        if bottom < top:
            total += stored(top) - stored(bottom)
    return total


@checked(MASS, STEEL_START, STEEL_END)
def steel_heat(mass: float, start_temperature: float, end_temperature: float) -> float:
    """Heat (J) of a steel part, specific heat changing with temperature."""
    return mass * steel_enthalpy(start_temperature, end_temperature)


@checked(MASS, SPECIFIC, START, END)
def heat(mass: float, specific_heat: float, start_temperature: float, end_temperature: float) -> float:
    """Heat (J) with one flat specific heat."""
    return mass * specific_heat * (end_temperature - start_temperature)


@checked(DIAMETER, LENGTH, DENSITY, SPECIFIC, START, END)
def pin_heat(
    *,
    diameter: float,
    length: float,
    density: float,
    specific_heat: float,
    start_temperature: float,
    end_temperature: float,
) -> float:
    """Heat (J) that brings a round pin from one temperature to the other, flat specific heat."""
    mass = pin_mass(diameter, length, density)
    return heat(mass, specific_heat, start_temperature, end_temperature)


@checked(CURRENT, ARC_VOLTAGE, TIME)
def arc_energy(current: float, arc_voltage: float, shot_time: float) -> float:
    """Energy (J) that the arc gives in one shot."""
    return current * arc_voltage * shot_time


@checked(PART, WHOLE)
def energy_share(part_energy: float, whole_energy: float) -> float:
    """Share of the whole energy that goes into the part."""
    return part_energy / whole_energy


@checked(UPPER, LOWER)
def margin(upper_temperature: float, lower_temperature: float) -> float:
    """Difference (K) of two temperatures, negative when the upper one is the lower."""
    return upper_temperature - lower_temperature


@checked(MANGANESE, NICKEL, SILICON, CHROMIUM)
def ac1(manganese: float, nickel: float, silicon: float, chromium: float) -> float:
    """Temperature (degC) at which steel begins to turn on heating (Andrews 1965), mass shares."""
    return 723 + 100 * (-10.7 * manganese - 16.9 * nickel + 29.1 * silicon + 16.9 * chromium)


@checked(CARBON, MANGANESE)
def martensite_start(carbon: float, manganese: float) -> float:
    """Temperature (degC) at which hard martensite begins to form on cooling, mass shares."""
    return 539 - 100 * (423 * carbon + 30.4 * manganese)


def _alloy(number: int) -> tuple[float, float]:
    for known, solidus, liquidus in ALLOYS:
        if known == number:
            return solidus, liquidus
    numbers = ", ".join(str(known) for known, _, _ in ALLOYS)
    raise OutOfRange(f"The alloy must be one of Ag {numbers}.")


@checked(ALLOY)
def alloy_solidus(alloy: int) -> float:
    """Temperature (degC) at which a silver alloy begins to melt."""
    return _alloy(alloy)[0]


@checked(ALLOY)
def alloy_liquidus(alloy: int) -> float:
    """Temperature (degC) at which a silver alloy is all liquid."""
    return _alloy(alloy)[1]


@checked(AC1, ALLOY)
def liquidus_margin(ac1: float, alloy: int) -> float:
    """Margin (K) between an alloy all liquid and the steel turning; negative means none."""
    return ac1 - alloy_liquidus(alloy)


@checked(PIN)
def stud_current(diameter: float) -> float:
    """Current (A) of drawn-arc stud welding for comparison: 80 A for each mm (welding manual)."""
    return 80 * diameter * 1000


@checked(PIN)
def stud_time(diameter: float) -> float:
    """Time (s) of drawn-arc stud welding for comparison: 20 ms for each mm (welding manual)."""
    return 0.020 * diameter * 1000
