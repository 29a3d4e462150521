"""Leads: copper, the two ways round the loop, cold and heat."""

import math

from training.calc.ranges import OutOfRange, Slot, checked

RESISTIVITY = 1 / 58e6  # ohm m at 20 degC, 100 % IACS (IEC 60028:1925, read second hand)
ALPHA = 0.00393  # 1/K at 20 degC, same source
ZERO = 234.5  # K below 0 degC where the straight line of copper's resistance would reach nothing
HEAT_CAPACITY = 3.45e6  # J/(K m3) of copper, from memory

# nominal mm2, largest ohm/km at 20 degC: IEC 60228:2004 class 5, plain copper (four agreeing copies)
CLASS_5 = (
    (10, 1.91),
    (16, 1.21),
    (25, 0.780),
    (35, 0.554),
    (50, 0.386),
    (70, 0.272),
    (95, 0.206),
    (120, 0.161),
    (150, 0.129),
    (185, 0.106),
    (240, 0.0801),
)
CLASS_5_TINNED = ((35, 0.565), (50, 0.393), (70, 0.277))

AREA = Slot("area", "S", "m2", "cross-section of each lead", 1e-6, 500e-6)
PER_METRE = Slot("resistance_per_metre", "R'", "ohm/m", "resistance of a metre of lead", 5e-5, 0.01)
LENGTH = Slot("lead_length", "L", "m", "length of each of the two leads", 0.1, 200)
TEMPERATURE = Slot("temperature", "t", "degC", "temperature of the copper", -50, 150)
CURRENT = Slot("current", "I", "A", "current", 1, 1000)
TIME = Slot("shot_time", "t", "s", "time of the shot", 0.01, 10)
GAUGE = Slot("gauge", "n", "1", "gauge number (0 for 1/0, -1 for 2/0)", -3, 20, whole=True)


def _row(area: float, table: tuple[tuple[int, float], ...], name: str) -> float:
    for size, ohm_per_km in table:
        if math.isclose(area, size * 1e-6, rel_tol=1e-9):
            return ohm_per_km / 1000
    sizes = ", ".join(str(size) for size, _ in table)
    raise OutOfRange(f"The cross-section must be a size of {name}: {sizes} mm2.")


@checked(AREA)
def class5(area: float) -> float:
    """Largest resistance (ohm/m, 20 degC) of a flexible plain copper lead of a nominal size (m2)."""
    return _row(area, CLASS_5, "IEC 60228 class 5")


@checked(AREA)
def class5_tinned(area: float) -> float:
    """Largest resistance (ohm/m, 20 degC) of a flexible tinned copper lead of a nominal size (m2)."""
    return _row(area, CLASS_5_TINNED, "IEC 60228 class 5, tinned")


@checked(AREA)
def solid_per_metre(area: float) -> float:
    """Resistance (ohm/m, 20 degC) of solid copper of this very area (m2)."""
    return RESISTIVITY / area


@checked(TEMPERATURE)
def copper_factor(temperature: float) -> float:
    """Resistance of copper at a temperature (degC) over that at 20 degC."""
    return 1 + ALPHA * (temperature - 20)


@checked(TEMPERATURE)
def copper_factor_inferred(temperature: float) -> float:
    """The same factor from copper's inferred zero, 234.5 degC below freezing."""
    return (ZERO + temperature) / (ZERO + 20)


@checked(TEMPERATURE)
def correction_to_20(temperature: float) -> float:
    """Factor (IEC 60228) that turns a resistance measured at a temperature into that at 20 degC."""
    return 250 / (230 + temperature)


@checked(PER_METRE, LENGTH)
def resistance(resistance_per_metre: float, lead_length: float) -> float:
    """Resistance (ohm) of both leads at 20 degC: the current goes out and comes back."""
    return resistance_per_metre * 2 * lead_length


@checked(PER_METRE, LENGTH, TEMPERATURE)
def resistance_at(resistance_per_metre: float, lead_length: float, temperature: float) -> float:
    """Resistance (ohm) of both leads with the copper at a temperature (degC)."""
    return resistance(resistance_per_metre, lead_length) * copper_factor(temperature)


@checked(PER_METRE, LENGTH, CURRENT)
def drop(resistance_per_metre: float, lead_length: float, current: float) -> float:
    """Voltage (V) that both leads take at 20 degC."""
    return resistance(resistance_per_metre, lead_length) * current


@checked(GAUGE)
def awg_diameter(gauge: int) -> float:
    """Diameter (m) of a solid American gauge wire (ASTM B258 geometry)."""
    return float(0.005 * 92 ** ((36 - gauge) / 39) * 0.0254)


@checked(GAUGE)
def awg_area(gauge: int) -> float:
    """Area (m2) of a solid American gauge wire."""
    return math.pi * awg_diameter(gauge) ** 2 / 4


@checked(GAUGE)
def awg_per_metre(gauge: int) -> float:
    """Resistance (ohm/m, 20 degC) of a solid American gauge copper wire; strands add 2 to 6 %."""
    return RESISTIVITY / awg_area(gauge)


@checked(CURRENT, TIME, AREA)
def shot_rise(current: float, shot_time: float, area: float) -> float:
    """Temperature rise (K) of a lead in one shot, no heat lost."""
    return RESISTIVITY * current**2 * shot_time / (area**2 * HEAT_CAPACITY)
