"""Wrong answers about noise."""

from training.calc import noise
from training.calc.noise import DOSE, FIRST_LEVEL, FIRST_TIME, HOUR, LEVEL, SECOND_LEVEL, SECOND_TIME
from training.calc.ranges import OutOfRange, checked

FOUR = (FIRST_LEVEL, FIRST_TIME, SECOND_LEVEL, SECOND_TIME)


@checked(LEVEL)
def allowed_other_rule(level: float) -> float:
    """Time by the stricter advice (s)."""
    return noise.niosh_allowed(level)


@checked(LEVEL)
def allowed_legal_rule(level: float) -> float:
    """Time by the law's rule (s)."""
    return noise.osha_allowed(level)


@checked(LEVEL)
def allowed_proportion(level: float) -> float:
    """Eight hours in proportion to the decibels (s)."""
    return 8 * HOUR * noise.OSHA_LIMIT.criterion / level


@checked()
def allowed_shift() -> float:
    """A whole shift, whatever the level (s)."""
    return 8 * HOUR


@checked(*FOUR)
def dose_other_rule(first_level: float, first_time: float, second_level: float, second_time: float) -> float:
    """Dose by the stricter advice."""
    return noise.niosh_dose(first_level, first_time, second_level, second_time)


@checked(*FOUR)
def dose_legal_rule(first_level: float, first_time: float, second_level: float, second_time: float) -> float:
    """Dose by the law's rule."""
    return noise.osha_dose_hearing(first_level, first_time, second_level, second_time)


@checked(FIRST_TIME, SECOND_TIME)
def dose_time_only(first_time: float, second_time: float) -> float:
    """Share of the shift, whatever the level."""
    return (first_time + second_time) / (8 * HOUR)


@checked(*FOUR)
def dose_averaged(first_level: float, first_time: float, second_level: float, second_time: float) -> float:
    """Decibels averaged first."""
    total = first_time + second_time
    if total == 0:
        raise OutOfRange("The times together must be above 0 s.")
    level = (first_level * first_time + second_level * second_time) / total
    return total / noise.osha_allowed(level)


@checked(DOSE)
def average_other_rule(dose: float) -> float:
    """Level by the stricter advice (dBA)."""
    return noise.niosh_average(dose)


@checked(DOSE)
def average_legal_rule(dose: float) -> float:
    """Level by the law's rule (dBA)."""
    return noise.osha_average(dose)


@checked(DOSE)
def average_proportion(dose: float) -> float:
    """Dose times 90 (dBA)."""
    return noise.OSHA_LIMIT.criterion * dose


@checked(DOSE)
def average_proportion_niosh(dose: float) -> float:
    """Dose times 85 (dBA)."""
    return noise.NIOSH.criterion * dose
