"""Wrong answers about hand-arm vibration."""

import math

from training.calc import vibration
from training.calc.ranges import checked
from training.calc.vibration import ACTION, DAY, FIRST, FIRST_TIME, LIMIT, MAGNITUDE, SECOND, SECOND_TIME, TIME

HOUR = 3600.0


@checked(MAGNITUDE, TIME)
def exposure_linear(magnitude: float, trigger_time: float) -> float:
    """Time in place of its square root (m/s2)."""
    return magnitude * trigger_time / DAY


@checked(MAGNITUDE)
def exposure_not_referred(magnitude: float) -> float:
    """The tool's own figure (m/s2)."""
    return magnitude


@checked(MAGNITUDE, TIME)
def exposure_one_hour(magnitude: float, trigger_time: float) -> float:
    """Referred to one hour (m/s2)."""
    return magnitude * math.sqrt(trigger_time / HOUR)


@checked(FIRST, FIRST_TIME, SECOND, SECOND_TIME)
def two_added(first_magnitude: float, first_time: float, second_magnitude: float, second_time: float) -> float:
    """Exposures added (m/s2)."""
    return vibration.exposure(first_magnitude, first_time) + vibration.exposure(second_magnitude, second_time)


@checked(FIRST, FIRST_TIME, SECOND, SECOND_TIME)
def two_worst(first_magnitude: float, first_time: float, second_magnitude: float, second_time: float) -> float:
    """The greater of the two (m/s2)."""
    return max(vibration.exposure(first_magnitude, first_time), vibration.exposure(second_magnitude, second_time))


@checked(MAGNITUDE, TIME)
def points_not_squared(magnitude: float, trigger_time: float) -> float:
    """Magnitude not squared."""
    return 100 * magnitude / ACTION * trigger_time / DAY


@checked(MAGNITUDE, TIME)
def points_of_limit(magnitude: float, trigger_time: float) -> float:
    """Against the limit."""
    return 100 * (vibration.exposure(magnitude, trigger_time) / LIMIT) ** 2


@checked(MAGNITUDE)
def action_linear(magnitude: float) -> float:
    """Ratio not squared (s)."""
    return DAY * ACTION / magnitude


@checked(MAGNITUDE)
def action_is_limit(magnitude: float) -> float:
    """Time to the limit (s)."""
    return vibration.time_to_limit(magnitude)


@checked(MAGNITUDE)
def limit_linear(magnitude: float) -> float:
    """Ratio not squared (s)."""
    return DAY * LIMIT / magnitude


@checked(MAGNITUDE)
def limit_is_action(magnitude: float) -> float:
    """Time to the action value (s)."""
    return vibration.time_to_action(magnitude)
