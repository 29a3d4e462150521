"""Pack of three batteries in series: rest, load, meter and cold."""

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

from training.calc.ranges import OutOfRange, Slot, checked

BATTERIES = 3
CELLS_IN_A_BATTERY = 4

FIRST_BATTERY = Slot("first_battery", "V1", "V", "voltage of the first battery", 8, 15)
SECOND_BATTERY = Slot("second_battery", "V2", "V", "voltage of the second battery", 8, 15)
THIRD_BATTERY = Slot("third_battery", "V3", "V", "voltage of the third battery", 8, 15)
PACK = Slot("pack_voltage", "V", "V", "voltage of the pack", 24, 45)
REST = Slot("rest_voltage", "V0", "V", "rest voltage of the pack", 24, 45)
READING = Slot("reading", "V", "V", "reading", 0, 100)
LIMIT = Slot("limit", "L", "V", "limit", 0, 100)
GUARD = Slot("guard", "g", "V", "guard band", 0, 100)
SHARE = Slot("reading_share", "p", "1", "meter's share of the reading", 0, 0.1)
DIGITS = Slot("digits", "d", "1", "meter's number of digits", 0, 100, whole=True)
STEP = Slot("display_step", "r", "V", "last step of the display", 0.0001, 1)
COVERAGE = Slot("coverage", "k", "1", "coverage factor", 0, 4)
FIRST_VOLTAGE = Slot("first_voltage", "V1", "V", "voltage at the first current", 0, 60)
FIRST_CURRENT = Slot("first_current", "I1", "A", "first current", 0, 400)
SECOND_VOLTAGE = Slot("second_voltage", "V2", "V", "voltage at the second current", 0, 60)
SECOND_CURRENT = Slot("second_current", "I2", "A", "second current", 0.1, 400)
VOLTAGE_U = Slot("voltage_uncertainty", "u_V", "V", "uncertainty of a voltage", 0, 1)
CURRENT_U = Slot("current_uncertainty", "u_I", "A", "uncertainty of a current", 0, 10)
CURRENT = Slot("current", "I", "A", "current", 0, 400)
RESISTANCE = Slot("pack_resistance", "R", "ohm", "resistance of the pack", 0.001, 1)
RATIO = Slot("cold_ratio", "x", "1", "resistance ratio cold to warm", 0.5, 20)


@checked(FIRST_BATTERY, SECOND_BATTERY, THIRD_BATTERY)
def series_voltage(first_battery: float, second_battery: float, third_battery: float) -> float:
    """Voltage (V) of three batteries in series (Kirchhoff). Capacity does not add in series."""
    return first_battery + second_battery + third_battery


@checked(FIRST_BATTERY, SECOND_BATTERY, THIRD_BATTERY)
def spread(first_battery: float, second_battery: float, third_battery: float) -> float:
    """Highest less lowest battery (V); more than 0.1 V at rest is imbalance (common practice)."""
    readings = (first_battery, second_battery, third_battery)
    return max(readings) - min(readings)


@checked(PACK)
def cell_voltage(pack_voltage: float) -> float:
    """Mean voltage (V) of one cell: three batteries of four cells each."""
    return pack_voltage / (BATTERIES * CELLS_IN_A_BATTERY)


@checked(READING, SHARE, DIGITS, STEP)
def meter_half_width(reading: float, reading_share: float, digits: int, display_step: float) -> float:
    """Largest error (V) that a meter's specification allows: share of reading plus digits."""
    return reading_share * reading + digits * display_step


@checked(READING, SHARE, DIGITS, STEP)
def meter_standard(reading: float, reading_share: float, digits: int, display_step: float) -> float:
    """Standard uncertainty (V) of a reading, rectangular (JCGM 100:2008 4.3.7)."""
    return meter_half_width(reading, reading_share, digits, display_step) / math.sqrt(3)


@checked(READING, SHARE, DIGITS, STEP)
def meter_expanded(reading: float, reading_share: float, digits: int, display_step: float) -> float:
    """Expanded uncertainty (V) with coverage factor 2."""
    return 2 * meter_standard(reading, reading_share, digits, display_step)


@checked(LIMIT, SHARE, DIGITS, STEP)
def lowest_proving(limit: float, reading_share: float, digits: int, display_step: float) -> float:
    """Lowest reading (V) that proves the pack at or above a lower limit (V).

    Guard band equal to the expanded uncertainty at the limit (ILAC-G8:09/2019, binary rule).
    """
    return limit + meter_expanded(limit, reading_share, digits, display_step)


@checked(READING, LIMIT, SHARE, DIGITS, STEP)
def conformance(reading: float, limit: float, reading_share: float, digits: int, display_step: float) -> float:
    """Probability that the true voltage is at or above the limit, flat prior (JCGM 106:2012)."""
    standard = meter_standard(limit, reading_share, digits, display_step)
    if standard == 0:
        raise OutOfRange("The meter's error must be greater than zero: give a share or digits.")
    return NormalDist().cdf((reading - limit) / standard)


class Verdict(StrEnum):
    """Three answers, because a meter cannot always tell."""

    GO = "go"
    NO_GO = "no-go"
    UNPROVEN = "unproven"


@checked(READING, LIMIT, GUARD)
def verdict(reading: float, limit: float, guard: float) -> Verdict:
    """Go at or above limit plus guard, no-go below limit less guard, otherwise unproven (all V)."""
    if reading >= limit + guard:
        return Verdict.GO
    return Verdict.NO_GO if reading < limit - guard else Verdict.UNPROVEN


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict with the probability that the true voltage is at or above the limit."""

    verdict: Verdict
    probability: float


@checked(READING, LIMIT, SHARE, DIGITS, STEP, COVERAGE)
def judge(
    *,
    reading: float,
    limit: float,
    reading_share: float,
    digits: int,
    display_step: float,
    coverage: float,
) -> Judgement:
    """Judge a reading (V) against a lower limit (V) with a guard of coverage times uncertainty.

    Coverage 2 keeps false acceptance under 2.5 %, 1.645 under 5 %, 0 allows up to half.
    """
    guard = coverage * meter_standard(limit, reading_share, digits, display_step)
    return Judgement(
        verdict(reading, limit, guard),
        conformance(reading, limit, reading_share, digits, display_step),
    )


def _different(first_current: float, second_current: float) -> float:
    if second_current <= first_current:
        raise OutOfRange("The second current must be greater than the first.")
    return second_current - first_current


@checked(FIRST_VOLTAGE, FIRST_CURRENT, SECOND_VOLTAGE, SECOND_CURRENT)
def internal_resistance(
    first_voltage: float, first_current: float, second_voltage: float, second_current: float
) -> float:
    """Resistance (ohm) from two loads, seconds apart (two-current method of IEC 61960-3)."""
    return (first_voltage - second_voltage) / _different(first_current, second_current)


@checked(
    FIRST_VOLTAGE,
    FIRST_CURRENT,
    SECOND_VOLTAGE,
    SECOND_CURRENT,
    VOLTAGE_U,
    CURRENT_U,
)
def internal_resistance_uncertainty(
    *,
    first_voltage: float,
    first_current: float,
    second_voltage: float,
    second_current: float,
    voltage_uncertainty: float,
    current_uncertainty: float,
) -> float:
    """Standard uncertainty (ohm) of the two-load resistance, first order, independent readings."""
    step = _different(first_current, second_current)
    resistance = (first_voltage - second_voltage) / step
    return math.hypot(voltage_uncertainty, resistance * current_uncertainty) * math.sqrt(2) / step


@checked(REST, CURRENT, RESISTANCE)
def loaded_voltage(rest_voltage: float, current: float, pack_resistance: float) -> float:
    """Voltage (V) at the terminals while the current flows."""
    return rest_voltage - current * pack_resistance


@checked(RESISTANCE, RATIO)
def cold_resistance(pack_resistance: float, cold_ratio: float) -> float:
    """Resistance (ohm) of the cold pack: the warm one times the printed ratio."""
    return pack_resistance * cold_ratio
