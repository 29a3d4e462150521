"""Wrong answers about filter shades."""

import math

from training.calc import eyes
from training.calc.eyes import COMFORT, CURRENT, DARKER, ELECTRODE, LIGHTER, SHADE
from training.calc.ranges import checked


@checked()
def shade_torch() -> float:
    """Shade of torch brazing."""
    return eyes.TORCH_BRAZING


@checked(COMFORT)
def comfort_least(current: float) -> float:
    """The least shade."""
    return eyes.shade_by_current(current)


@checked(CURRENT)
def shade_one_lighter(current: float) -> float:
    """One shade lighter than the least."""
    return eyes.shade_by_current(current) - 1


@checked()
def shade_plasma() -> float:
    """Shade of light plasma cutting, where a hidden arc is allowed for."""
    return eyes.least_shade(eyes.Operation.PLASMA_CUTTING, 1.0)


@checked(ELECTRODE)
def shade_electrode_millimetres(electrode_diameter: float) -> float:
    """Millimetres called thirty-seconds of an inch."""
    return eyes.shade_by_electrode(electrode_diameter * 1000 * eyes.THIRTY_SECOND_INCH)


@checked(SHADE)
def transmittance_doubling(shade: float) -> float:
    """Half for each shade."""
    return math.pow(2, 1 - shade)


@checked(SHADE)
def transmittance_decades(shade: float) -> float:
    """A tenth for each shade."""
    return math.pow(10, 1 - shade)


@checked(LIGHTER, DARKER)
def ratio_of_numbers(lighter_shade: float, darker_shade: float) -> float:
    """Ratio of the shade numbers."""
    return darker_shade / lighter_shade


@checked(LIGHTER, DARKER)
def ratio_doubling(lighter_shade: float, darker_shade: float) -> float:
    """Twice for each shade."""
    return math.pow(2, darker_shade - lighter_shade)


@checked(LIGHTER, DARKER)
def ratio_decades(lighter_shade: float, darker_shade: float) -> float:
    """Ten times for each shade."""
    return math.pow(10, darker_shade - lighter_shade)
