"""Fuse wire: how much copper a current melts in a time.

For teaching, not for design: metal, section and length of the real wire are unknown, and an arc
may eat it rather than its own heat.
"""

import math

from training.calc.ranges import OutOfRange, Slot, checked

MELTING = 1083.0  # degC, copper
CIRCULAR_MIL = math.pi / 4 * (0.0254 / 1000) ** 2  # m2
ONDERDONK_ZERO = 234.0  # the round figure of the printed formula; others write 234.5
IEC_K = 226e6  # A s^0.5/m2, copper (IEC 60949 form, read second hand)
IEC_ZERO = 234.5
FUSION = 20514e12  # A2 s/m4: the heat of fusion (205 kJ/kg, from memory) in the same units
# A/inch^1.5, Preece, read second hand
PREECE = {
    "copper": 10244.0,
    "aluminium": 7585.0,
    "platinum": 5172.0,
    "German silver": 5230.0,
    "platinoid": 4750.0,
    "iron": 3148.0,
    "tin": 1642.0,
    "tin-lead": 1318.0,
    "lead": 1379.0,
}
PREECE_COPPER = PREECE["copper"]
INCH = 0.0254

CURRENT = Slot("current", "I", "A", "current", 1, 2000)
NEW_CURRENT = Slot("new_current", "I2", "A", "new current", 1, 2000)
TIME = Slot("time", "t", "s", "time", 0.01, 10)
AMBIENT = Slot("ambient", "T_a", "degC", "temperature of the wire before the shot", -50, 100)
AREA = Slot("area", "A", "m2", "cross-section of the wire", 1e-9, 1e-4)
DIAMETER = Slot("diameter", "d", "m", "diameter of the wire", 1e-5, 0.012)
MINIMUM = Slot("minimum_current", "I_min", "A", "least current that ever melts the wire", 1, 2000)
CONSTANT = Slot("time_constant", "tau", "s", "time constant of the wire", 0.01, 1000)


def _onderdonk_action(ambient: float) -> float:
    """Square of current density times time (A2 s/m4) that brings copper to its melting point."""
    rise = math.log10(1 + (MELTING - ambient) / (ONDERDONK_ZERO + ambient))
    return rise / 33 / CIRCULAR_MIL**2


@checked(CURRENT, TIME, AMBIENT)
def onderdonk_area(current: float, time: float, ambient: float) -> float:
    """Copper area (m2) that a current just brings to melting in a time (Onderdonk, up to some s)."""
    return current * math.sqrt(time / _onderdonk_action(ambient))


@checked(CURRENT, AREA, AMBIENT)
def onderdonk_time(current: float, area: float, ambient: float) -> float:
    """Time (s) that a current takes to bring a copper area (m2) to melting (Onderdonk)."""
    return _onderdonk_action(ambient) * (area / current) ** 2


@checked(CURRENT, AREA, AMBIENT)
def melt_through_time(current: float, area: float, ambient: float) -> float:
    """Time (s) to melt right through: as Onderdonk, and the heat of fusion on top."""
    return (_onderdonk_action(ambient) + FUSION) * (area / current) ** 2


@checked(CURRENT, TIME, AMBIENT)
def adiabatic_area(current: float, time: float, ambient: float) -> float:
    """Copper area (m2) that a current just brings to melting in a time (IEC 60949 form)."""
    rise = math.log((MELTING + IEC_ZERO) / (ambient + IEC_ZERO))
    return current * math.sqrt(time / rise) / IEC_K


@checked(AREA)
def diameter(area: float) -> float:
    """Diameter (m) of a round wire of this area (m2)."""
    return math.sqrt(4 * area / math.pi)


@checked(DIAMETER)
def preece_current(diameter: float) -> float:
    """Current (A) that melts a copper wire in still air in the end (Preece, steady state)."""
    return float(PREECE_COPPER * (diameter / INCH) ** 1.5)


def preece_wire(metal: str, current: float) -> float:
    """Diameter (m) of the wire of a metal of PREECE that a steady current melts in the end."""
    return float((current / PREECE[metal]) ** (2 / 3) * INCH)


@checked(CURRENT)
def preece_diameter(current: float) -> float:
    """Diameter (m) of the copper wire that a steady current melts in the end (Preece)."""
    return preece_wire("copper", current)


@checked(TIME, CURRENT, NEW_CURRENT)
def time_ratio(time: float, current: float, new_current: float) -> float:
    """Time (s) at another current, same wire, no heat lost: as one over the current squared."""
    return time * (current / new_current) ** 2


def _log_gain(current: float, minimum_current: float) -> float:
    if current <= minimum_current:
        raise OutOfRange(f"The current must be above {minimum_current:.4g} A, or the wire never melts.")
    return -math.log1p(-((minimum_current / current) ** 2))


@checked(CURRENT, MINIMUM, CONSTANT)
def time_with_loss(current: float, minimum_current: float, time_constant: float) -> float:
    """Time (s) to melt a wire that loses heat; it runs away as the current nears the minimum."""
    return time_constant * _log_gain(current, minimum_current)


@checked(CURRENT, MINIMUM, TIME)
def time_constant(current: float, minimum_current: float, time: float) -> float:
    """Time constant (s) of a wire that melts in a known time at a known current."""
    return time / _log_gain(current, minimum_current)
