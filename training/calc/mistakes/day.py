"""Wrong answers about a day's shots and packs."""

from training.calc import day, whole
from training.calc.day import BONDS, CONFIDENCE, PER_CHARGE, REPEATS
from training.calc.ranges import checked


@checked(BONDS, REPEATS)
def mean_added(bonds: int, repeat_share: float) -> float:
    """Share of the bonds added, though the repeats repeat too."""
    return bonds * (1 + repeat_share)


@checked(BONDS)
def mean_no_repeats(bonds: int) -> float:
    """No shot repeated."""
    return bonds


@checked(BONDS, REPEATS)
def mean_taken_off(bonds: int, repeat_share: float) -> float:
    """Repeats taken off."""
    return bonds * (1 - repeat_share)


@checked(BONDS, REPEATS)
def enough_mean(bonds: int, repeat_share: float) -> float:
    """The average, enough on about two days of three."""
    return whole.up(day.shots_mean(bonds, repeat_share))


@checked(BONDS, CONFIDENCE)
def enough_over_confidence(bonds: int, confidence: float) -> float:
    """Bonds over confidence."""
    return whole.up(bonds / confidence)


@checked(BONDS, REPEATS, PER_CHARGE)
def packs_rounded_down(bonds: int, repeat_share: float, shots_per_charge: int) -> float:
    """Rounded down."""
    return whole.down(day.packs_quotient(bonds, repeat_share, shots_per_charge))


@checked(BONDS, REPEATS, PER_CHARGE)
def packs_spare(bonds: int, repeat_share: float, shots_per_charge: int) -> float:
    """One more than the question asks."""
    return day.packs(bonds, repeat_share, shots_per_charge) + 1


@checked(BONDS, PER_CHARGE)
def packs_no_repeats(bonds: int, shots_per_charge: int) -> float:
    """No shot repeated."""
    return whole.up(bonds / shots_per_charge)


@checked(BONDS, REPEATS, PER_CHARGE)
def packs_enough_mean(bonds: int, repeat_share: float, shots_per_charge: int) -> float:
    """Packs for the average."""
    return day.packs(bonds, repeat_share, shots_per_charge)


@checked(BONDS, REPEATS, CONFIDENCE, PER_CHARGE)
def packs_enough_spare(bonds: int, repeat_share: float, confidence: float, shots_per_charge: int) -> float:
    """One more than the question asks."""
    return day.packs_enough(bonds, repeat_share, confidence, shots_per_charge) + 1
