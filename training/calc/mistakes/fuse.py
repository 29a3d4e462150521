"""Wrong answers about fuse wire."""

import math

from training.calc import fuse
from training.calc.fuse import AMBIENT, AREA, CONSTANT, CURRENT, DIAMETER, MINIMUM, NEW_CURRENT, TIME
from training.calc.ranges import checked


@checked(CURRENT)
def area_preece(current: float) -> float:
    """The steady-state wire (m2)."""
    return math.pi / 4 * fuse.preece_diameter(current) ** 2


@checked(CURRENT, TIME, AMBIENT)
def area_circular_mils(current: float, time: float, ambient: float) -> float:
    """Circular mils called square millimetres (m2)."""
    return fuse.onderdonk_area(current, time, ambient) / fuse.CIRCULAR_MIL * 1e-6


@checked(CURRENT)
def area_rule_of_thumb(current: float) -> float:
    """A square millimetre for each 100 A (m2)."""
    return current / 100 * 1e-6


@checked(CURRENT, TIME, AMBIENT)
def area_time_not_rooted(current: float, time: float, ambient: float) -> float:
    """Time in place of its square root (m2)."""
    return fuse.onderdonk_area(current, 1.0, ambient) * time


@checked(CURRENT, AREA, AMBIENT)
def time_not_squared(current: float, area: float, ambient: float) -> float:
    """Square left out (s)."""
    return math.sqrt(fuse.onderdonk_time(current, area, ambient))


@checked(CURRENT, AREA, AMBIENT)
def time_zero_below(current: float, area: float, ambient: float) -> float:
    """Ambient taken off copper's 234 where it is added (s)."""
    right = math.log10(1 + (fuse.MELTING - ambient) / (fuse.ONDERDONK_ZERO + ambient))
    wrong = math.log10(1 + (fuse.MELTING - ambient) / (fuse.ONDERDONK_ZERO - ambient))
    return fuse.onderdonk_time(current, area, ambient) * wrong / right


@checked(TIME, CURRENT, NEW_CURRENT)
def ratio_linear(time: float, current: float, new_current: float) -> float:
    """Square left out (s)."""
    return time * current / new_current


@checked(TIME, CURRENT, NEW_CURRENT)
def ratio_upside_down(time: float, current: float, new_current: float) -> float:
    """Ratio upside down (s)."""
    return time * (new_current / current) ** 2


@checked(TIME)
def ratio_no_change(time: float) -> float:
    """Unchanged (s)."""
    return time


@checked(AREA)
def diameter_root(area: float) -> float:
    """Square root of the area (m)."""
    return math.sqrt(area)


@checked(AREA)
def diameter_radius(area: float) -> float:
    """The radius (m)."""
    return fuse.diameter(area) / 2


@checked(DIAMETER)
def preece_millimetres(diameter: float) -> float:
    """The inch constant with millimetres (A)."""
    return fuse.PREECE_COPPER * math.pow(diameter * 1000, 1.5)


@checked(DIAMETER)
def preece_linear(diameter: float) -> float:
    """Power of one where one and a half belongs (A)."""
    return fuse.PREECE_COPPER * diameter / fuse.INCH


@checked(CURRENT, MINIMUM, CONSTANT)
def loss_squared_only(current: float, minimum_current: float, time_constant: float) -> float:
    """As if no heat were lost (s)."""
    return time_constant * (minimum_current / current) ** 2


@checked(CURRENT, MINIMUM, CONSTANT)
def loss_not_squared(current: float, minimum_current: float, time_constant: float) -> float:
    """Currents not squared (s)."""
    return fuse.time_with_loss(math.sqrt(current), math.sqrt(minimum_current), time_constant)
