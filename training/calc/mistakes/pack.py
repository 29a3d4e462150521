"""Wrong answers about the pack."""

import math
from statistics import NormalDist

from training.calc import leads
from training.calc.cells import REST as BAND_REST
from training.calc.pack import (
    CURRENT,
    DIGITS,
    FIRST_BATTERY,
    FIRST_CURRENT,
    FIRST_VOLTAGE,
    LIMIT,
    PACK,
    RATIO,
    READING,
    RESISTANCE,
    REST,
    SECOND_BATTERY,
    SECOND_CURRENT,
    SECOND_VOLTAGE,
    SHARE,
    STEP,
    THIRD_BATTERY,
    internal_resistance,
    meter_expanded,
    meter_half_width,
)
from training.calc.ranges import OutOfRange, Slot, checked

AIR = Slot("air_temperature", "T_air", "degC", "air temperature", -50, 50)
THREE = (FIRST_BATTERY, SECOND_BATTERY, THIRD_BATTERY)
LABEL = 36.0
NOMINAL_BATTERY = 12.0
FULL = 40.0
FLOOR = 38.0


@checked(*THREE)
def series_highest(first_battery: float, second_battery: float, third_battery: float) -> float:
    """Voltage (V) of the highest battery, as in parallel."""
    return max(first_battery, second_battery, third_battery)


@checked()
def series_label() -> float:
    """The name on the pack (V)."""
    return LABEL


@checked(*THREE)
def series_average(first_battery: float, second_battery: float, third_battery: float) -> float:
    """Average (V) of the three."""
    return (first_battery + second_battery + third_battery) / 3


@checked()
def series_label_and_three() -> float:
    """The name on the pack and a volt for each battery (V)."""
    return LABEL + 3


@checked(*THREE)
def spread_from_average(first_battery: float, second_battery: float, third_battery: float) -> float:
    """Highest less average (V)."""
    return max(first_battery, second_battery, third_battery) - series_average(
        first_battery, second_battery, third_battery
    )


@checked(FIRST_BATTERY, THIRD_BATTERY)
def spread_first_to_last(first_battery: float, third_battery: float) -> float:
    """First less last, wherever the highest is (V)."""
    return abs(first_battery - third_battery)


@checked(PACK)
def cell_per_battery(pack_voltage: float) -> float:
    """Voltage (V) of a battery."""
    return pack_voltage / 3


@checked(PACK)
def cell_per_four(pack_voltage: float) -> float:
    """Pack voltage shared by the four cells of one battery (V)."""
    return pack_voltage / 4


@checked(BAND_REST)
def charge_of_full(rest_voltage: float) -> float:
    """Share of 40 V."""
    return rest_voltage / FULL


@checked(BAND_REST)
def charge_straight_line(rest_voltage: float) -> float:
    """Straight line from empty at 38 V to full at 40 V."""
    return (rest_voltage - FLOOR) / (FULL - FLOOR)


@checked()
def charge_half() -> float:
    """Exactly half, whatever the reading."""
    return 0.5


@checked(READING, SHARE)
def half_width_no_digits(reading: float, reading_share: float) -> float:
    """Share of the reading only (V)."""
    return reading_share * reading


@checked(DIGITS, STEP)
def half_width_digits_only(digits: int, display_step: float) -> float:
    """Digits only (V)."""
    return digits * display_step


@checked(READING, SHARE, DIGITS)
def half_width_whole_digits(reading: float, reading_share: float, digits: int) -> float:
    """Digits taken as tenths of a volt (V)."""
    return reading_share * reading + digits * 0.1


@checked(READING, SHARE, DIGITS, STEP)
def expanded_half_width(reading: float, reading_share: float, digits: int, display_step: float) -> float:
    """The largest error (V) instead of the expanded uncertainty."""
    return meter_half_width(reading, reading_share, digits, display_step)


@checked(READING, SHARE, DIGITS, STEP)
def expanded_standard(reading: float, reading_share: float, digits: int, display_step: float) -> float:
    """The standard uncertainty (V), not doubled."""
    return meter_half_width(reading, reading_share, digits, display_step) / math.sqrt(3)


@checked(LIMIT)
def proving_no_guard(limit: float) -> float:
    """The limit itself (V)."""
    return limit


@checked(LIMIT, SHARE, DIGITS, STEP)
def proving_unsafe(limit: float, reading_share: float, digits: int, display_step: float) -> float:
    """Guard band on the unsafe side (V)."""
    return limit - meter_expanded(limit, reading_share, digits, display_step)


@checked(LIMIT, SHARE, DIGITS, STEP)
def proving_half_width(limit: float, reading_share: float, digits: int, display_step: float) -> float:
    """Limit plus the largest error (V) instead of the expanded uncertainty."""
    return limit + meter_half_width(limit, reading_share, digits, display_step)


@checked()
def conformance_certain() -> float:
    """Certainty."""
    return 1.0


@checked(READING, LIMIT, SHARE, DIGITS, STEP)
def conformance_half_width(
    reading: float, limit: float, reading_share: float, digits: int, display_step: float
) -> float:
    """Probability with the largest error taken as the standard uncertainty."""
    width = meter_half_width(limit, reading_share, digits, display_step)
    if width == 0:
        raise OutOfRange("The meter's error must be greater than zero: give a share or digits.")
    return NormalDist().cdf((reading - limit) / width)


@checked(SECOND_VOLTAGE, SECOND_CURRENT)
def internal_ohm(second_voltage: float, second_current: float) -> float:
    """Voltage over current of one load (ohm)."""
    return second_voltage / second_current


@checked(FIRST_VOLTAGE, SECOND_VOLTAGE, SECOND_CURRENT)
def internal_first_ignored(first_voltage: float, second_voltage: float, second_current: float) -> float:
    """First current taken as none (ohm)."""
    return (first_voltage - second_voltage) / second_current


@checked(FIRST_VOLTAGE, FIRST_CURRENT, SECOND_VOLTAGE, SECOND_CURRENT)
def internal_added(first_voltage: float, first_current: float, second_voltage: float, second_current: float) -> float:
    """Currents added (ohm)."""
    return (first_voltage - second_voltage) / (first_current + second_current)


@checked(FIRST_VOLTAGE, FIRST_CURRENT, SECOND_VOLTAGE, SECOND_CURRENT)
def internal_third(first_voltage: float, first_current: float, second_voltage: float, second_current: float) -> float:
    """Divided by the three batteries (ohm)."""
    return internal_resistance(first_voltage, first_current, second_voltage, second_current) / 3


@checked(REST)
def loaded_no_drop(rest_voltage: float) -> float:
    """The rest voltage (V)."""
    return rest_voltage


@checked(CURRENT, RESISTANCE)
def loaded_drop_only(current: float, pack_resistance: float) -> float:
    """The drop (V)."""
    return current * pack_resistance


@checked(REST, CURRENT, RESISTANCE)
def loaded_added(rest_voltage: float, current: float, pack_resistance: float) -> float:
    """Drop added (V)."""
    return rest_voltage + current * pack_resistance


@checked(RESISTANCE, AIR)
def cold_copper(pack_resistance: float, air_temperature: float) -> float:
    """The factor of copper at air temperature (ohm)."""
    return pack_resistance * leads.copper_factor(air_temperature)


@checked(RESISTANCE, RATIO)
def cold_divided(pack_resistance: float, cold_ratio: float) -> float:
    """Divided by the ratio (ohm)."""
    return pack_resistance / cold_ratio


@checked(RESISTANCE)
def cold_no_change(pack_resistance: float) -> float:
    """Unchanged (ohm)."""
    return pack_resistance
