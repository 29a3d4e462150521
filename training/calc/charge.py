"""Charge and energy of shots, and the time to put them back."""

from training.calc import whole
from training.calc.ranges import Slot, checked

CURRENT = Slot("current", "I", "A", "current of a shot", 1, 1000)
TIME = Slot("shot_time", "t", "s", "time of a shot", 0.01, 10)
LOADED = Slot("loaded_voltage", "V_load", "V", "voltage under load", 1, 60)
CAPACITY = Slot("capacity", "C", "A*s", "capacity of the pack", 3600, 360_000)
USABLE = Slot("usable_share", "u", "1", "usable share of the capacity", 0.1, 1)
FIRED = Slot("fired", "n", "1", "number of shots fired", 0, 1000, whole=True)
SHOTS = Slot("shots", "N", "1", "number of shots to put back", 1, 1000, whole=True)
CHARGER = Slot("charger_current", "I_c", "A", "current of the charger", 0.1, 50)
EFFICIENCY = Slot("efficiency", "eta", "1", "charge efficiency", 0.5, 1)
CHARGING = Slot("charging_time", "t_c", "s", "time on the charger", 0, 172_800)


@checked(CURRENT, TIME)
def shot_charge(current: float, shot_time: float) -> float:
    """Charge (A s) of one shot."""
    return current * shot_time


@checked(LOADED, CURRENT, TIME)
def shot_energy(loaded_voltage: float, current: float, shot_time: float) -> float:
    """Energy (J) that the pack gives in one shot."""
    return loaded_voltage * current * shot_time


@checked(CAPACITY, USABLE, CURRENT, TIME)
def shots_quotient(capacity: float, usable_share: float, current: float, shot_time: float) -> float:
    """Usable charge over the charge of a shot, not rounded: a line of the working."""
    return capacity * usable_share / shot_charge(current, shot_time)


@checked(CAPACITY, USABLE, CURRENT, TIME)
def shots_full(capacity: float, usable_share: float, current: float, shot_time: float) -> float:
    """Whole shots in a full pack (capacity in A s), rounded down."""
    return whole.down(shots_quotient(capacity, usable_share, current, shot_time))


@checked(CAPACITY, USABLE, CURRENT, TIME, FIRED)
def shots_left(capacity: float, usable_share: float, current: float, shot_time: float, fired: int) -> float:
    """Whole shots left after some were fired, none below zero."""
    return max(0, shots_full(capacity, usable_share, current, shot_time) - fired)


@checked(SHOTS, CURRENT, TIME, CHARGER, EFFICIENCY)
def charge_time(shots: int, current: float, shot_time: float, charger_current: float, efficiency: float) -> float:
    """Time (s) to put shots back; the taper at the end and balancing come on top."""
    return shots * shot_charge(current, shot_time) / (efficiency * charger_current)


@checked(CHARGING, CHARGER, EFFICIENCY, CURRENT, TIME)
def shots_restored(
    charging_time: float,
    charger_current: float,
    efficiency: float,
    current: float,
    shot_time: float,
) -> float:
    """Whole shots that a time on the charger (s) puts back, rounded down."""
    stored = charging_time * charger_current * efficiency
    return whole.down(stored / shot_charge(current, shot_time))
