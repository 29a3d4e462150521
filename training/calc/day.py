"""A day's shots and packs, with some shots to be repeated.

Repeats are taken as independent. A bad earth or a cold pack makes them run together, and then
these figures are too hopeful. Count the test bonds at the start of the shift among the bonds.
"""

import scipy

from training.calc import whole
from training.calc.ranges import OutOfRange, Slot, checked

BONDS = Slot("bonds", "n", "1", "number of bonds", 1, 2000, whole=True)
REPEATS = Slot("repeat_share", "r", "1", "share of shots to be repeated", 0, 0.5)
CONFIDENCE = Slot("confidence", "C", "1", "confidence", 0.5, 0.999)
SHOTS = Slot("shots", "s", "1", "number of shots", 1, 5000, whole=True)
PER_CHARGE = Slot("shots_per_charge", "N", "1", "number of shots in a charge", 1, 1000, whole=True)


@checked(BONDS, REPEATS)
def shots_mean(bonds: int, repeat_share: float) -> float:
    """Shots that good bonds take on average; repeat_share is a share of SHOTS, not of bonds."""
    return bonds / (1 - repeat_share)


@checked(SHOTS, BONDS, REPEATS)
def enough_probability(shots: int, bonds: int, repeat_share: float) -> float:
    """Probability that this many shots give the bonds (binomial)."""
    if shots < bonds:
        raise OutOfRange(f"The number of shots must be at least {bonds}, one for each bond.")
    return float(scipy.stats.binom.sf(bonds - 1, shots, 1 - repeat_share))


@checked(BONDS, REPEATS, CONFIDENCE)
def shots_enough(bonds: int, repeat_share: float, confidence: float) -> float:
    """Fewest shots that give the bonds with this confidence (negative binomial)."""
    return bonds + int(scipy.stats.nbinom.ppf(confidence, bonds, 1 - repeat_share))


@checked(BONDS, REPEATS, CONFIDENCE)
def shots_enough_poisson(bonds: int, repeat_share: float, confidence: float) -> float:
    """The same by the Poisson short cut on the expected repeats."""
    expected = bonds * repeat_share / (1 - repeat_share)
    return bonds + int(scipy.stats.poisson.ppf(confidence, expected))


@checked(BONDS, REPEATS, PER_CHARGE)
def packs_quotient(bonds: int, repeat_share: float, shots_per_charge: int) -> float:
    """Average shots over the shots in a charge, not rounded: a line of the working."""
    return shots_mean(bonds, repeat_share) / shots_per_charge


@checked(BONDS, REPEATS, PER_CHARGE)
def packs(bonds: int, repeat_share: float, shots_per_charge: int) -> float:
    """Charged packs for the average number of shots, rounded up."""
    return whole.up(packs_quotient(bonds, repeat_share, shots_per_charge))


@checked(BONDS, REPEATS, CONFIDENCE, PER_CHARGE)
def packs_enough(bonds: int, repeat_share: float, confidence: float, shots_per_charge: int) -> float:
    """Charged packs that are enough with this confidence, rounded up."""
    return whole.up(shots_enough(bonds, repeat_share, confidence) / shots_per_charge)
