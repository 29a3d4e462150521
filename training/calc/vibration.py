"""Hand-arm vibration, trigger time only (ISO 5349-1:2001 as cited in directive 2002/44/EC)."""

import math

from training.calc.ranges import Slot, checked

DAY = 8 * 3600.0
ACTION = 2.5  # m/s2
LIMIT = 5.0  # m/s2

MAGNITUDE = Slot("magnitude", "a", "m/s2", "vibration of the tool", 0.1, 50)
TIME = Slot("trigger_time", "t", "s", "trigger time", 0, 43_200)
FIRST = Slot("first_magnitude", "a1", "m/s2", "vibration of the first tool", 0.1, 50)
FIRST_TIME = Slot("first_time", "t1", "s", "trigger time of the first tool", 0, 43_200)
SECOND = Slot("second_magnitude", "a2", "m/s2", "vibration of the second tool", 0.1, 50)
SECOND_TIME = Slot("second_time", "t2", "s", "trigger time of the second tool", 0, 43_200)


@checked(MAGNITUDE, TIME)
def exposure(magnitude: float, trigger_time: float) -> float:
    """Daily exposure (m/s2) of one tool, referred to eight hours."""
    return magnitude * math.sqrt(trigger_time / DAY)


@checked(FIRST, FIRST_TIME, SECOND, SECOND_TIME)
def exposure_two(first_magnitude: float, first_time: float, second_magnitude: float, second_time: float) -> float:
    """Daily exposure (m/s2) of two tools: squares add, not the figures."""
    return math.hypot(exposure(first_magnitude, first_time), exposure(second_magnitude, second_time))


@checked(MAGNITUDE, TIME)
def points(magnitude: float, trigger_time: float) -> float:
    """Exposure points: 100 at the action value, 400 at the limit."""
    return 100 * (exposure(magnitude, trigger_time) / ACTION) ** 2


@checked(MAGNITUDE)
def time_to_action(magnitude: float) -> float:
    """Trigger time (s) that reaches the action value of 2.5 m/s2."""
    return DAY * (ACTION / magnitude) ** 2


@checked(MAGNITUDE)
def time_to_limit(magnitude: float) -> float:
    """Trigger time (s) that reaches the limit of 5 m/s2."""
    return DAY * (LIMIT / magnitude) ** 2
