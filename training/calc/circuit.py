"""Shot circuit: pack, leads, contacts and arc in one loop.

Two models. A takes the arc as a resistance; B takes it as a roughly constant voltage (20 to 25 V,
common practice, not measured). The truth lies between: say which model a figure comes from.
"""

from training.calc.ranges import OutOfRange, Slot, checked

REST = Slot("rest_voltage", "V0", "V", "rest voltage of the pack", 24, 45)
NEW_REST = Slot("new_rest_voltage", "V1", "V", "new rest voltage of the pack", 24, 45)
ARC_VOLTAGE = Slot("arc_voltage", "V_a", "V", "arc voltage", 0, 40)
PACK = Slot("pack_resistance", "R_p", "ohm", "resistance of the pack", 0, 1)
LEADS = Slot("lead_resistance", "R_l", "ohm", "resistance of both leads", 0, 1)
EARTH = Slot("earth_resistance", "R_e", "ohm", "resistance of the earth contact", 0, 1)
ARC = Slot("arc_resistance", "R_a", "ohm", "resistance of the arc", 0.001, 1)
CURRENT = Slot("current", "I", "A", "current", 1, 1000)
ADDED = Slot("added_resistance", "dR", "ohm", "added resistance", -0.05, 1)
RESISTANCE = Slot("resistance", "R", "ohm", "resistance", 0, 10)


@checked(PACK, LEADS, EARTH, ARC)
def loop_resistance(
    pack_resistance: float, lead_resistance: float, earth_resistance: float, arc_resistance: float
) -> float:
    """Resistance (ohm) of the whole loop, in series, arc as a resistance (model A)."""
    return pack_resistance + lead_resistance + earth_resistance + arc_resistance


@checked(REST, PACK, LEADS, EARTH, ARC)
def current(
    rest_voltage: float,
    pack_resistance: float,
    lead_resistance: float,
    earth_resistance: float,
    arc_resistance: float,
) -> float:
    """Current (A) by Ohm's law round the loop, arc as a resistance (model A)."""
    return rest_voltage / loop_resistance(pack_resistance, lead_resistance, earth_resistance, arc_resistance)


@checked(REST, ARC_VOLTAGE, PACK, LEADS, EARTH)
def current_arc_voltage(
    rest_voltage: float,
    arc_voltage: float,
    pack_resistance: float,
    lead_resistance: float,
    earth_resistance: float,
) -> float:
    """Current (A) with the arc as a constant voltage (model B); none if the arc takes it all."""
    loop = pack_resistance + lead_resistance + earth_resistance
    if loop == 0:
        raise OutOfRange("The resistance of pack, leads and earth together must be above 0 ohm.")
    return max(0.0, rest_voltage - arc_voltage) / loop


@checked(REST, CURRENT)
def resistance_from_current(rest_voltage: float, current: float) -> float:
    """Loop resistance (ohm) that a current means at a rest voltage (model A)."""
    return rest_voltage / current


@checked(REST, ARC_VOLTAGE, CURRENT)
def resistance_from_current_arc_voltage(rest_voltage: float, arc_voltage: float, current: float) -> float:
    """Loop resistance (ohm) without the arc that a current means (model B)."""
    return _above_arc(rest_voltage, arc_voltage) / current


def _above_arc(rest_voltage: float, arc_voltage: float) -> float:
    if arc_voltage >= rest_voltage:
        raise OutOfRange("The arc voltage must be below the rest voltage, or no current flows.")
    return rest_voltage - arc_voltage


def _after(driving: float, current: float, added: float) -> float:
    loop = driving / current + added
    if loop <= 0:
        raise OutOfRange("The resistance taken away must be less than the loop has.")
    return driving / loop


@checked(REST, CURRENT, ADDED)
def added_resistance_current(rest_voltage: float, current: float, added_resistance: float) -> float:
    """Current (A) after a resistance enters the loop, or leaves it when negative (model A)."""
    return _after(rest_voltage, current, added_resistance)


@checked(REST, ARC_VOLTAGE, CURRENT, ADDED)
def added_resistance_current_arc_voltage(
    rest_voltage: float, arc_voltage: float, current: float, added_resistance: float
) -> float:
    """Current (A) after a resistance enters the loop, or leaves it when negative (model B)."""
    return _after(_above_arc(rest_voltage, arc_voltage), current, added_resistance)


@checked(CURRENT, REST, NEW_REST)
def new_voltage_current(current: float, rest_voltage: float, new_rest_voltage: float) -> float:
    """Current (A) at another rest voltage with the same loop (model A)."""
    return current * new_rest_voltage / rest_voltage


@checked(CURRENT, REST, NEW_REST, ARC_VOLTAGE)
def new_voltage_current_arc_voltage(
    current: float, rest_voltage: float, new_rest_voltage: float, arc_voltage: float
) -> float:
    """Current (A) at another rest voltage with the same loop (model B)."""
    driving = max(0.0, new_rest_voltage - arc_voltage)
    return current * driving / _above_arc(rest_voltage, arc_voltage)


@checked(CURRENT, RESISTANCE)
def voltage_drop(current: float, resistance: float) -> float:
    """Voltage (V) that a resistance takes."""
    return current * resistance


@checked(CURRENT, RESISTANCE)
def contact_heat(current: float, resistance: float) -> float:
    """Heat (W) that a contact gives off while the current flows."""
    return current**2 * resistance
