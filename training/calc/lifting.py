"""Lifting by the revised NIOSH equation (94-110). Full precision throughout; the printed worksheets
round each multiplier first and differ in the last figure."""

from dataclasses import dataclass
from enum import IntEnum

from training.calc.cells import interpolate
from training.calc.ranges import OutOfRange, Slot, checked

DOES_NOT_APPLY = (
    "carrying more than one or two steps",
    "lifting with one hand",
    "sitting or kneeling",
    "more than 8 hours",
    "air outside 19 to 26 degC",
    "slippery ground",
    "loads that shift",
)


@dataclass(frozen=True, slots=True)
class Form:
    """Constants of one printed form of the equation, in its own units of mass and length."""

    constant: float
    reach: float
    height: float
    height_slope: float
    travel: float
    shortest_travel: float


METRIC = Form(23, 0.25, 0.75, 0.3, 0.045, 0.25)  # kg, m
CUSTOMARY = Form(51, 10, 30, 0.0075, 1.8, 10)  # lb, in


class Grip(IntEnum):
    """How well the hands hold the load."""

    GOOD = 1
    FAIR = 2
    POOR = 3


GRIP_LOW = {Grip.GOOD: 1.0, Grip.FAIR: 0.95, Grip.POOR: 0.90}
GRIP_HIGH = {Grip.GOOD: 1.0, Grip.FAIR: 1.0, Grip.POOR: 0.90}

# Table 5: lifts a minute, then up to 1 h, 2 h, 8 h; hands below 0.75 m, then from 0.75 m
RATES = (0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0)
TO_8 = (1, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60)
MID_8 = (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35)
LONG_8 = (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18)
LOW = {
    3600.0: (*TO_8, 0.52, 0.45, 0.41, 0.37, 0.0, 0.0, 0.0),
    7200.0: (*MID_8, 0.30, 0.26, 0.0, 0.0, 0.0, 0.0, 0.0),
    28800.0: (*LONG_8, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
}
HIGH = {
    3600.0: (*TO_8, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
    7200.0: (*MID_8, 0.30, 0.26, 0.23, 0.21, 0.0, 0.0, 0.0),
    28800.0: (*LONG_8, 0.15, 0.13, 0.0, 0.0, 0.0, 0.0, 0.0),
}

HORIZONTAL = Slot("horizontal", "H", "m", "distance of the hands from the ankles", 0, 0.63)
VERTICAL = Slot("vertical", "V", "m", "height of the hands", 0, 1.75)
TRAVEL = Slot("travel", "D", "m", "height lifted", 0, 1.75)
ASYMMETRY = Slot("asymmetry", "A", "1", "angle of twist in degrees", 0, 135)
FREQUENCY_FACTOR = Slot("frequency_multiplier", "FM", "1", "frequency multiplier", 0, 1)
GRIP_FACTOR = Slot("grip_multiplier", "CM", "1", "grip multiplier", 0.9, 1)
LOAD = Slot("load", "m", "kg", "load", 0.1, 100)
RATE = Slot("lifts_per_minute", "F", "1", "number of lifts a minute", 0, 15)
DURATION = Slot("duration", "t", "s", "time spent lifting", 60, 28_800)
GRIP = Slot("grip", "c", "1", "grip (1 good, 2 fair, 3 poor)", 1, 3, whole=True)


def multipliers(
    form: Form, horizontal: float, vertical: float, travel: float, asymmetry: float
) -> tuple[float, float, float, float]:
    """Multipliers for reach, height, travel and twist, lengths in the form's own unit."""
    return (
        form.reach / max(horizontal, form.reach),
        1 - form.height_slope * abs(vertical - form.height),
        0.82 + form.travel / max(travel, form.shortest_travel),
        1 - 0.0032 * asymmetry,
    )


@checked(RATE, DURATION, VERTICAL)
def frequency_multiplier(lifts_per_minute: float, duration: float, vertical: float) -> float:
    """Frequency multiplier of Table 5, straight between rows; height (m) at the ORIGIN."""
    table = LOW if vertical < METRIC.height else HIGH
    column = next(rows for longest, rows in table.items() if duration <= longest)
    return interpolate(max(lifts_per_minute, RATES[0]), RATES, column)


@checked(GRIP, VERTICAL)
def grip_multiplier(grip: int, vertical: float) -> float:
    """Grip multiplier; height (m) at the point assessed."""
    return (GRIP_LOW if vertical < METRIC.height else GRIP_HIGH)[Grip(grip)]


@checked(HORIZONTAL, VERTICAL, TRAVEL, ASYMMETRY, FREQUENCY_FACTOR, GRIP_FACTOR)
def limit(
    *,
    horizontal: float,
    vertical: float,
    travel: float,
    asymmetry: float,
    frequency_multiplier: float,
    grip_multiplier: float,
) -> float:
    """Recommended weight limit (kg), lengths in m, twist in degrees. See DOES_NOT_APPLY."""
    reach, height, lift, twist = multipliers(METRIC, horizontal, vertical, travel, asymmetry)
    hands = frequency_multiplier * grip_multiplier
    return METRIC.constant * reach * height * lift * twist * hands


@checked(LOAD, HORIZONTAL, VERTICAL, TRAVEL, ASYMMETRY, FREQUENCY_FACTOR, GRIP_FACTOR)
def index(
    *,
    load: float,
    horizontal: float,
    vertical: float,
    travel: float,
    asymmetry: float,
    frequency_multiplier: float,
    grip_multiplier: float,
) -> float:
    """Lifting index: load (kg) over the recommended limit; above 1 raises the risk."""
    most = limit(
        horizontal=horizontal,
        vertical=vertical,
        travel=travel,
        asymmetry=asymmetry,
        frequency_multiplier=frequency_multiplier,
        grip_multiplier=grip_multiplier,
    )
    if most == 0:
        raise OutOfRange("The frequency multiplier must be above 0: so many lifts are not allowed.")
    return load / most
