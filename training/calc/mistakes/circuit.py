"""Wrong answers about the shot circuit."""

from training.calc import circuit
from training.calc.circuit import (
    ADDED,
    ARC,
    ARC_VOLTAGE,
    CURRENT,
    EARTH,
    LEADS,
    NEW_REST,
    PACK,
    RESISTANCE,
    REST,
)
from training.calc.ranges import OutOfRange, checked

LABEL = 36.0


@checked(PACK, LEADS, EARTH)
def loop_no_arc(pack_resistance: float, lead_resistance: float, earth_resistance: float) -> float:
    """Loop without the arc (ohm)."""
    return pack_resistance + lead_resistance + earth_resistance


@checked(PACK, LEADS, ARC)
def loop_no_earth(pack_resistance: float, lead_resistance: float, arc_resistance: float) -> float:
    """Loop without the earth contact (ohm)."""
    return pack_resistance + lead_resistance + arc_resistance


@checked(PACK, LEADS, EARTH, ARC)
def loop_average(
    pack_resistance: float, lead_resistance: float, earth_resistance: float, arc_resistance: float
) -> float:
    """Average of the four (ohm)."""
    return circuit.loop_resistance(pack_resistance, lead_resistance, earth_resistance, arc_resistance) / 4


@checked(PACK, LEADS, EARTH, ARC)
def current_label(
    pack_resistance: float, lead_resistance: float, earth_resistance: float, arc_resistance: float
) -> float:
    """Current (A) from the name on the pack."""
    return LABEL / circuit.loop_resistance(pack_resistance, lead_resistance, earth_resistance, arc_resistance)


@checked(REST, PACK, LEADS, ARC)
def current_no_earth(
    rest_voltage: float, pack_resistance: float, lead_resistance: float, arc_resistance: float
) -> float:
    """Current (A) without the earth contact."""
    return rest_voltage / loop_no_earth(pack_resistance, lead_resistance, arc_resistance)


@checked(REST, ARC)
def current_arc_only(rest_voltage: float, arc_resistance: float) -> float:
    """Current (A) through the arc alone."""
    return rest_voltage / arc_resistance


def _loop(pack_resistance: float, lead_resistance: float, earth_resistance: float) -> float:
    loop = loop_no_arc(pack_resistance, lead_resistance, earth_resistance)
    if loop == 0:
        raise OutOfRange("The resistance of pack, leads and earth together must be above 0 ohm.")
    return loop


@checked(REST, PACK, LEADS, EARTH)
def current_arc_ignored(
    rest_voltage: float, pack_resistance: float, lead_resistance: float, earth_resistance: float
) -> float:
    """Current (A) with no voltage left for the arc."""
    return rest_voltage / _loop(pack_resistance, lead_resistance, earth_resistance)


@checked(ARC_VOLTAGE, PACK, LEADS, EARTH)
def current_arc_drives(
    arc_voltage: float, pack_resistance: float, lead_resistance: float, earth_resistance: float
) -> float:
    """Current (A) as if the arc voltage drove it."""
    return arc_voltage / _loop(pack_resistance, lead_resistance, earth_resistance)


@checked(REST, CURRENT)
def resistance_upside_down(rest_voltage: float, current: float) -> float:
    """Current over voltage (ohm)."""
    return current / rest_voltage


@checked(CURRENT)
def resistance_label(current: float) -> float:
    """The name on the pack over the current (ohm)."""
    return LABEL / current


@checked(ARC_VOLTAGE, CURRENT)
def resistance_of_arc(arc_voltage: float, current: float) -> float:
    """Arc voltage over current (ohm)."""
    return arc_voltage / current


@checked(CURRENT, ADDED)
def added_milliohm_minus(current: float, added_resistance: float) -> float:
    """Milliohms taken off the amperes (A)."""
    return current - 1000 * added_resistance


@checked(CURRENT)
def added_no_effect(current: float) -> float:
    """Unchanged (A)."""
    return current


@checked(REST, CURRENT, ADDED)
def added_wrong_way(rest_voltage: float, current: float, added_resistance: float) -> float:
    """Resistance taken off where it comes on (A)."""
    loop = rest_voltage / current - added_resistance
    if loop <= 0:
        raise OutOfRange("The added resistance must be less than the loop has.")
    return rest_voltage / loop


@checked(CURRENT, REST, NEW_REST)
def new_voltage_upside_down(current: float, rest_voltage: float, new_rest_voltage: float) -> float:
    """Ratio upside down (A)."""
    return current * rest_voltage / new_rest_voltage


@checked(CURRENT, REST, NEW_REST)
def new_voltage_squared(current: float, rest_voltage: float, new_rest_voltage: float) -> float:
    """Ratio squared, as power would go (A)."""
    return current * (new_rest_voltage / rest_voltage) ** 2


@checked(CURRENT, RESISTANCE)
def drop_upside_down(current: float, resistance: float) -> float:
    """Resistance over current (V)."""
    return resistance / current


@checked(CURRENT, RESISTANCE)
def drop_squared(current: float, resistance: float) -> float:
    """Current squared, which is heat (V)."""
    return current**2 * resistance


@checked(CURRENT, RESISTANCE)
def heat_not_squared(current: float, resistance: float) -> float:
    """Current not squared (W)."""
    return current * resistance


@checked(CURRENT, RESISTANCE)
def heat_resistance_squared(current: float, resistance: float) -> float:
    """Resistance squared instead of the current (W)."""
    return current * resistance**2


@checked(CURRENT, RESISTANCE)
def heat_halved(current: float, resistance: float) -> float:
    """Half, as in stored energy (W)."""
    return current**2 * resistance / 2
