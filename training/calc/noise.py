"""Noise through a shift under two rules that disagree: the law's and the stricter advice.

OSHA: 29 CFR 1910.95 and its Appendix A. NIOSH: publication 98-126.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from training.calc.ranges import Slot, checked

HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Rule:
    """Level allowed for 8 hours (dBA), decibels that halve the time, level from which it counts."""

    criterion: float
    exchange: float
    threshold: float


OSHA_LIMIT = Rule(90, 5, 90)
OSHA_HEARING = Rule(90, 5, 80)
NIOSH = Rule(85, 3, 80)

LEVEL = Slot("level", "L", "dB", "sound level", 70, 140)
PART = Slot("part_time", "t", "s", "time at the level", 0, 43_200)
FIRST_LEVEL = Slot("first_level", "L1", "dB", "first sound level", 70, 140)
FIRST_TIME = Slot("first_time", "t1", "s", "time at the first level", 0, 43_200)
SECOND_LEVEL = Slot("second_level", "L2", "dB", "second sound level", 70, 140)
SECOND_TIME = Slot("second_time", "t2", "s", "time at the second level", 0, 43_200)
DOSE = Slot("dose", "D", "1", "noise dose", 0.001, 100)


def allowed(level: float, rule: Rule) -> float:
    """Time (s) that a rule allows at a level (dBA)."""
    return float(8 * HOUR / 2 ** ((level - rule.criterion) / rule.exchange))


def dose(parts: Sequence[tuple[float, float]], rule: Rule) -> float:
    """Noise dose as a ratio (1 = 100 %) of parts (level dBA, time s)."""
    return sum(time / allowed(level, rule) for level, time in parts if level >= rule.threshold)


@checked(LEVEL)
def osha_allowed(level: float) -> float:
    """Time (s) allowed at a level (dBA) by 29 CFR 1910.95."""
    return allowed(level, OSHA_LIMIT)


@checked(LEVEL)
def niosh_allowed(level: float) -> float:
    """Time (s) advised at most at a level (dBA) by NIOSH 98-126."""
    return allowed(level, NIOSH)


@checked(LEVEL, PART)
def osha_part(level: float, part_time: float) -> float:
    """Time at a level (dBA) over the time allowed there, whatever the threshold: a line of the working."""
    return part_time / osha_allowed(level)


@checked(LEVEL, PART)
def niosh_part(level: float, part_time: float) -> float:
    """Time at a level (dBA) over the time advised at most there: a line of the working."""
    return part_time / niosh_allowed(level)


@checked(FIRST_LEVEL, FIRST_TIME, SECOND_LEVEL, SECOND_TIME)
def osha_dose(first_level: float, first_time: float, second_level: float, second_time: float) -> float:
    """Dose (ratio) against the limit of 29 CFR 1910.95: levels from 90 dBA count."""
    return dose(((first_level, first_time), (second_level, second_time)), OSHA_LIMIT)


@checked(FIRST_LEVEL, FIRST_TIME, SECOND_LEVEL, SECOND_TIME)
def osha_dose_hearing(first_level: float, first_time: float, second_level: float, second_time: float) -> float:
    """Dose (ratio) for hearing conservation in 29 CFR 1910.95: levels from 80 dBA count."""
    return dose(((first_level, first_time), (second_level, second_time)), OSHA_HEARING)


@checked(FIRST_LEVEL, FIRST_TIME, SECOND_LEVEL, SECOND_TIME)
def niosh_dose(first_level: float, first_time: float, second_level: float, second_time: float) -> float:
    """Dose (ratio) by NIOSH 98-126."""
    return dose(((first_level, first_time), (second_level, second_time)), NIOSH)


@checked(DOSE)
def osha_average(dose: float) -> float:
    """Eight-hour average level (dBA) of a dose by 29 CFR 1910.95 Appendix A."""
    return 16.61 * math.log10(dose) + 90


@checked(DOSE)
def niosh_average(dose: float) -> float:
    """Eight-hour average level (dBA) of a dose by NIOSH 98-126."""
    return 10 * math.log10(dose) + 85
