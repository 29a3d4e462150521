"""Filter shades. No published row covers an arc hidden in a ferrule: the employer's hazard
assessment decides; these are the rows that come nearest."""

import math
from enum import StrEnum

from training.calc.ranges import OutOfRange, Slot, checked

THIRTY_SECOND_INCH = 0.0254 / 32
SLACK = 1e-9  # a size printed in mm may miss a whole thirty-second by float noise
TORCH_BRAZING = 3
TORCH_SOLDERING = 2
CARBON_ARC = 14


class Operation(StrEnum):
    """Arc operations of 29 CFR 1910.133(a)(5) whose least shade goes by current."""

    SHIELDED_METAL = "shielded metal arc welding"
    GAS_METAL = "gas metal arc and flux cored arc welding"
    GAS_TUNGSTEN = "gas tungsten arc welding"
    AIR_CARBON = "air carbon arc cutting"
    PLASMA_WELDING = "plasma arc welding"
    PLASMA_CUTTING = "plasma arc cutting"


# operation: (below this current A, least shade); 29 CFR 1910.133(a)(5)
SHADES: dict[Operation, tuple[tuple[float, int], ...]] = {
    Operation.SHIELDED_METAL: ((60, 7), (160, 8), (250, 10), (550, 11)),
    Operation.GAS_METAL: ((60, 7), (160, 10), (250, 10), (500, 10)),
    Operation.GAS_TUNGSTEN: ((50, 8), (150, 8), (500, 10)),
    Operation.AIR_CARBON: ((500, 10), (1000, 11)),
    Operation.PLASMA_WELDING: ((20, 6), (100, 8), (400, 10), (800, 11)),
    Operation.PLASMA_CUTTING: ((300, 8), (400, 9), (800, 10)),
}
# electrode below this many 1/32 inch, least shade: the same line read by size
ELECTRODES = ((3.0, 7), (5.0, 8), (8.0, 10))
THICKEST = 11
# thickness below this m, least shade, same rule: gas welding of plate, oxygen cutting (open above the last)
GAS_WELDING = ((0.0032, 4), (0.0127, 5), (math.inf, 6))
OXYGEN_CUTTING = ((0.025, 3), (0.150, 4), (math.inf, 5))

CURRENT = Slot("current", "I", "A", "arc current", 1, 1000)
COMFORT = Slot("current", "I", "A", "arc current", 160, 550)
ELECTRODE = Slot("electrode_diameter", "d", "m", "diameter of the electrode", 0.001, 0.02)
SHADE = Slot("shade", "N", "1", "shade number", 1, 16)
LIGHTER = Slot("lighter_shade", "N1", "1", "lighter shade number", 1, 16)
DARKER = Slot("darker_shade", "N2", "1", "darker shade number", 1, 16)
PASSED = Slot("transmittance", "tau", "1", "share of light let through", 1e-7, 1)


def least_shade(operation: Operation, current: float) -> int:
    """Least shade for an arc operation at a current (A); a current on a bound takes the darker."""
    rows = SHADES[operation]
    if not 0 < current <= rows[-1][0]:
        raise OutOfRange(f"The current for {operation} must be above 0 and up to {rows[-1][0]:g} A.")
    return next((shade for below, shade in rows if current < below), rows[-1][1])


def shade_by_thickness(rows: tuple[tuple[float, int], ...], thickness: float) -> int:
    """Least shade for a plate thickness (m), rows of GAS_WELDING or OXYGEN_CUTTING."""
    if not thickness > 0:
        raise OutOfRange("The thickness must be above 0 m.")
    return next(shade for below, shade in rows if thickness < below)


@checked(CURRENT)
def shade_by_current(current: float) -> float:
    """Least shade by current (A), shielded metal arc row of 29 CFR 1910.133(a)(5)."""
    return least_shade(Operation.SHIELDED_METAL, current)


@checked(COMFORT)
def comfort_shade(current: float) -> float:
    """Shade for comfort by current (A), shielded metal arc row of ANSI Z49.1:2012."""
    return 12 if current < 250 else 14


@checked(ELECTRODE)
def shade_by_electrode(electrode_diameter: float) -> float:
    """Least shade by electrode size (m), shielded metal arc row of 29 CFR 1910.133(a)(5)."""
    size = electrode_diameter / THIRTY_SECOND_INCH
    if size > 8 + SLACK:  # the row says "5 to 8" and "more than 8"
        return THICKEST
    return next((shade for below, shade in ELECTRODES if size < below - SLACK), ELECTRODES[-1][1])


@checked(SHADE)
def transmittance(shade: float) -> float:
    """Share of visible light that a shade lets through: N = 1 + 7/3 log10(1/tau)."""
    return float(10 ** (-3 * (shade - 1) / 7))


@checked(PASSED)
def shade_from_transmittance(transmittance: float) -> float:
    """Shade number, not rounded, of a filter that lets this share of light through."""
    return 1 - 7 / 3 * math.log10(transmittance)


@checked(LIGHTER, DARKER)
def shade_ratio(lighter_shade: float, darker_shade: float) -> float:
    """How many times more light the lighter of two shades lets through."""
    return transmittance(lighter_shade) / transmittance(darker_shade)
