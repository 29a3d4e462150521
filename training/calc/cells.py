"""Lithium iron phosphate cells at rest: charge state as a band, and resistance in the cold.

The tables are derived from public test data of one 26650-type cell (Plett's ESC toolbox), a single
source; the direction is sure, the size belongs to that cell. Twelve cells in series make the pack.
"""

import math
from bisect import bisect_right
from itertools import pairwise
from typing import NamedTuple

from training.calc import whole
from training.calc.ranges import OutOfRange, Slot, checked

CELLS = 12

# state of charge, rest voltage of one cell after discharging, after charging; 25 degC, C/27 curves
REST_VOLTAGE = (
    (0.02, 2.7551, 2.8843),
    (0.04, 2.933, 3.0183),
    (0.06, 3.0303, 3.101),
    (0.08, 3.0987, 3.1605),
    (0.1, 3.1506, 3.2059),
    (0.11, 3.1715, 3.223),
    (0.12, 3.1847, 3.23),
    (0.13, 3.1908, 3.2328),
    (0.14, 3.1944, 3.2361),
    (0.16, 3.1994, 3.2451),
    (0.18, 3.2107, 3.2571),
    (0.2, 3.2199, 3.2692),
    (0.25, 3.2363, 3.2918),
    (0.3, 3.2496, 3.3096),
    (0.35, 3.2631, 3.3192),
    (0.4, 3.2817, 3.3204),
    (0.45, 3.289, 3.3223),
    (0.5, 3.2911, 3.3249),
    (0.55, 3.2936, 3.3299),
    (0.6, 3.2972, 3.3369),
    (0.65, 3.3026, 3.3437),
    (0.7, 3.3102, 3.3507),
    (0.75, 3.3244, 3.3579),
    (0.8, 3.3316, 3.3592),
    (0.85, 3.3354, 3.3608),
    (0.9, 3.3399, 3.3643),
    (0.92, 3.3433, 3.3682),
    (0.94, 3.3484, 3.3771),
    (0.96, 3.3607, 3.3998),
    (0.98, 3.4032, 3.4773),
)

# cell temperature degC, resistance over a 1 s current step, ohm
COLD_RESISTANCE = (
    (-25.0, 0.12180),
    (-15.0, 0.05870),
    (-5.0, 0.02905),
    (5.0, 0.01771),
    (15.0, 0.01254),
    (25.0, 0.01002),
    (35.0, 0.00870),
    (45.0, 0.00772),
)

STATES = tuple(row[0] for row in REST_VOLTAGE)
DISCHARGED = tuple(row[1] for row in REST_VOLTAGE)
CHARGED = tuple(row[2] for row in REST_VOLTAGE)

LOWEST = CELLS * CHARGED[0]
HIGHEST = CELLS * DISCHARGED[-1]

REST = Slot("rest_voltage", "V", "V", "rest voltage of the pack", LOWEST, HIGHEST)
METER = Slot("meter_half_width", "a", "V", "meter's possible error", 0, 2)
STATE = Slot("charge_state", "SOC", "1", "state of charge", STATES[0], STATES[-1])
CELL_TEMPERATURE = Slot("cell_temperature", "T", "degC", "cell temperature", -25, 45)
REFERENCE = Slot("reference_temperature", "T0", "degC", "reference cell temperature", -25, 45)
PACK_RESISTANCE = Slot("pack_resistance", "R_p", "ohm", "resistance of the pack at 20 degC", 0.001, 1)
LEAD_RESISTANCE = Slot("lead_resistance", "R_l", "ohm", "resistance of both leads", 0, 1)
FULL_SHOTS = Slot("full_shots", "N", "1", "number of shots in a full charge", 1, 1000)
RESERVE = Slot("reserve_share", "r", "1", "share of charge kept in reserve", 0, 0.5)


class Band(NamedTuple):
    """What a reading proves: the value lies from low to high, and no more is known."""

    low: float
    high: float


def interpolate(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    """Straight line between the two table points around x; x must lie within the table."""
    at = min(max(bisect_right(xs, x), 1), len(xs) - 1)
    share = (x - xs[at - 1]) / (xs[at] - xs[at - 1])
    return ys[at - 1] + share * (ys[at] - ys[at - 1])


@checked(REST, METER)
def charge_band(rest_voltage: float, meter_half_width: float) -> Band:
    """Share of charge, low to high, that fits a rest voltage (V) read with a meter error (V).

    Rested at least half an hour, 15 to 35 degC. Hysteresis alone makes the band wide: the last
    current may have charged (low end) or discharged (high end) the cells.
    """
    lowest, highest = rest_voltage - meter_half_width, rest_voltage + meter_half_width
    if lowest < LOWEST or highest > HIGHEST:
        raise OutOfRange(f"The rest voltage with its meter error must stay from {LOWEST:.4g} to {HIGHEST:.4g} V.")
    return Band(
        interpolate(lowest / CELLS, CHARGED, STATES),
        interpolate(highest / CELLS, DISCHARGED, STATES),
    )


@checked(REST, METER)
def charge_low(rest_voltage: float, meter_half_width: float) -> float:
    """Lowest share of charge that fits the rest voltage (V) and the meter error (V)."""
    return charge_band(rest_voltage, meter_half_width).low


@checked(REST, METER)
def charge_high(rest_voltage: float, meter_half_width: float) -> float:
    """Highest share of charge that fits the rest voltage (V) and the meter error (V)."""
    return charge_band(rest_voltage, meter_half_width).high


@checked(STATE)
def rest_voltage_low(charge_state: float) -> float:
    """Rest voltage of the pack (V) at a share of charge, last discharged."""
    return CELLS * interpolate(charge_state, STATES, DISCHARGED)


@checked(STATE)
def rest_voltage_high(charge_state: float) -> float:
    """Rest voltage of the pack (V) at a share of charge, last charged."""
    return CELLS * interpolate(charge_state, STATES, CHARGED)


def _shots(state: float, full_shots: float, reserve_share: float) -> int:
    return max(0, whole.down((state - reserve_share) * full_shots))


@checked(REST, METER, FULL_SHOTS, RESERVE)
def shots_low(rest_voltage: float, meter_half_width: float, full_shots: float, reserve_share: float) -> float:
    """Shots that a rest voltage (V) certainly leaves above the reserve, whole, rounded down."""
    return _shots(charge_low(rest_voltage, meter_half_width), full_shots, reserve_share)


@checked(REST, METER, FULL_SHOTS, RESERVE)
def shots_high(rest_voltage: float, meter_half_width: float, full_shots: float, reserve_share: float) -> float:
    """Shots that a rest voltage (V) can at best leave above the reserve, whole, rounded down."""
    return _shots(charge_high(rest_voltage, meter_half_width), full_shots, reserve_share)


KELVIN = 273.15


def _log_resistance(temperature: float) -> float:
    # ln R runs straight in 1/T between measured points; 1/T falls as T rises, hence the minus
    inverse = tuple(-1 / (point + KELVIN) for point, _ in COLD_RESISTANCE)
    logs = tuple(math.log(ohms) for _, ohms in COLD_RESISTANCE)
    return interpolate(-1 / (temperature + KELVIN), inverse, logs)


@checked(CELL_TEMPERATURE, REFERENCE)
def cold_ratio(cell_temperature: float, reference_temperature: float) -> float:
    """Resistance at a cell temperature over that at the reference, both degC, as a ratio.

    Measured at about 1 C-rate on one small cell; at the current of a shot the ratio is smaller.
    """
    return math.exp(_log_resistance(cell_temperature) - _log_resistance(reference_temperature))


@checked(PACK_RESISTANCE, LEAD_RESISTANCE)
def break_even_temperature(pack_resistance: float, lead_resistance: float) -> float:
    """Cell temperature (degC) at which leaving off the leads only pays for the pack's cooling.

    Warmer cells than this and the circuit gains; colder ones and it has lost already.
    """
    target = _log_resistance(20.0) + math.log1p(lead_resistance / pack_resistance)
    for (cold, cold_ohms), (warm, warm_ohms) in pairwise(COLD_RESISTANCE):
        high, low = math.log(cold_ohms), math.log(warm_ohms)
        if low <= target <= high:
            share = (target - low) / (high - low)
            inverse = (1 - share) / (warm + KELVIN) + share / (cold + KELVIN)
            return 1 / inverse - KELVIN
    raise OutOfRange(
        "The resistance of both leads must be at most 9.8 times that of the pack at 20 degC: "
        "the cold table ends at -25 degC."
    )
