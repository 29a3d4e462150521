"""Wrong answers about charge, shots and charging."""

from training.calc import charge, whole
from training.calc.charge import (
    CAPACITY,
    CHARGER,
    CHARGING,
    CURRENT,
    EFFICIENCY,
    FIRED,
    LOADED,
    SHOTS,
    TIME,
    USABLE,
)
from training.calc.ranges import checked

HOUR = 3600.0
MINUTE = 60.0


@checked(CURRENT, TIME)
def shot_ampere_seconds(current: float, shot_time: float) -> float:
    """Ampere seconds called ampere hours (A s)."""
    return current * shot_time * HOUR


@checked(CURRENT, TIME)
def shot_per_minute(current: float, shot_time: float) -> float:
    """Divided by 60 where 3600 belongs (A s)."""
    return current * shot_time * MINUTE


@checked(CURRENT)
def shot_no_time(current: float) -> float:
    """A shot of one second (A s)."""
    return current


@checked(LOADED, CURRENT)
def energy_no_time(loaded_voltage: float, current: float) -> float:
    """Power for one second (J)."""
    return loaded_voltage * current


@checked(CURRENT, TIME)
def energy_no_voltage(current: float, shot_time: float) -> float:
    """Charge called energy (J)."""
    return current * shot_time


@checked(LOADED, CURRENT, TIME)
def energy_hours(loaded_voltage: float, current: float, shot_time: float) -> float:
    """Divided by 60 where 3600 belongs (J)."""
    return loaded_voltage * current * shot_time * MINUTE


@checked(CAPACITY, CURRENT, TIME)
def full_drained(capacity: float, current: float, shot_time: float) -> float:
    """Drained to nothing."""
    return whole.down(capacity / (current * shot_time))


@checked(CAPACITY, USABLE, CURRENT, TIME)
def full_rounded_up(capacity: float, usable_share: float, current: float, shot_time: float) -> float:
    """Rounded up."""
    return whole.up(capacity * usable_share / (current * shot_time))


@checked(CAPACITY, USABLE, CURRENT)
def full_no_time(capacity: float, usable_share: float, current: float) -> float:
    """Shots of one second."""
    return whole.down(capacity * usable_share / current)


@checked(CAPACITY, CURRENT, TIME, FIRED)
def left_drained(capacity: float, current: float, shot_time: float, fired: int) -> float:
    """Drained to nothing."""
    return max(0, full_drained(capacity, current, shot_time) - fired)


@checked(CAPACITY, USABLE, CURRENT, TIME)
def left_forgot_fired(capacity: float, usable_share: float, current: float, shot_time: float) -> float:
    """Shots already fired forgotten."""
    return charge.shots_full(capacity, usable_share, current, shot_time)


@checked(CAPACITY, USABLE, CURRENT, TIME, FIRED)
def left_rounded_up(capacity: float, usable_share: float, current: float, shot_time: float, fired: int) -> float:
    """Rounded up."""
    return max(0, full_rounded_up(capacity, usable_share, current, shot_time) - fired)


@checked(SHOTS, CURRENT, TIME)
def time_as_ampere_hours(shots: int, current: float, shot_time: float) -> float:
    """Ampere hours called hours (s)."""
    return shots * current * shot_time


@checked(SHOTS, CURRENT, TIME, CHARGER)
def time_multiplied(shots: int, current: float, shot_time: float, charger_current: float) -> float:
    """Multiplied by the charger's current (s)."""
    return shots * current * shot_time * charger_current


@checked(SHOTS, CURRENT, TIME, CHARGER, EFFICIENCY)
def time_in_minutes(shots: int, current: float, shot_time: float, charger_current: float, efficiency: float) -> float:
    """Minutes called hours (s)."""
    return charge.charge_time(shots, current, shot_time, charger_current, efficiency) * MINUTE


@checked(CHARGING, CHARGER, EFFICIENCY, CURRENT, TIME)
def restored_rounded_up(
    charging_time: float, charger_current: float, efficiency: float, current: float, shot_time: float
) -> float:
    """Rounded up."""
    return whole.up(charging_time * charger_current * efficiency / (current * shot_time))


@checked(CHARGING, CHARGER, EFFICIENCY, CURRENT)
def restored_no_time(charging_time: float, charger_current: float, efficiency: float, current: float) -> float:
    """Shots of one second."""
    return whole.down(charging_time * charger_current * efficiency / current)
