"""What a day of a job takes: shots, packs and chargers, by the computations of the catalogue.

Every figure comes of `training.calc.catalogue`; here is only which feeds which.
"""

from dataclasses import dataclass

from training.calc.catalogue import compute
from training.calc.whole import up

HOUR = 3600.0
# The state that the shot's current is quoted at (common practice, no source): a pack at rest, and its cells warm.
REST_VOLTAGE, WARM_CELLS = 39.0, 20.0
# The arc as a steady voltage, the harsher of the two ways to reckon a cold shot (common practice, no source).
ARC_VOLTAGE = 22.0
# Measured for charging at 25 degC; derived from public measured data.
EFFICIENCY = 0.99


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """What is assumed of a day: shares from 0 to 1, hours, and the pack and the shot as the crew knows them.

    `cells` is the temperature of the cells in degC on a cold job, else None; `pack_resistance` that of the warm pack.
    """

    test_bonds: int
    repeat_share: float
    confidence: float
    capacity_ah: float
    usable_share: float
    current: float
    shot_time: float
    charger_current: float
    charging_hours: float
    cells: float | None = None
    pack_resistance: float = 0.020


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What the day takes. `shots` are enough with the confidence, `packs_hold` is how sure the packs are to be enough.

    `current` (A) and `shot_time` (s) are those of the shot as it will be, `charge_hours` are for a pack emptied.
    """

    shots_mean: float
    shots: int
    current: float
    shot_time: float
    per_charge: int
    packs: int
    packs_hold: float
    charge_hours: float
    chargers: int


def need(bonds: int, kit: Kit) -> Need:
    """Return what so many bonds on one day take, the test bonds on top. Raises OutOfRange with its sentence."""
    asked = {"bonds": bonds + kit.test_bonds, "repeat_share": kit.repeat_share}
    shots = compute("day.shots_enough", {**asked, "confidence": kit.confidence})
    current, shot_time = _shot(kit)
    shot = {"current": current, "shot_time": shot_time}
    pack = {"capacity": kit.capacity_ah * HOUR, "usable_share": kit.usable_share}
    per_charge = compute("charge.shots_full", {**pack, **shot})
    packs = compute("day.packs_enough", {**asked, "confidence": kit.confidence, "shots_per_charge": per_charge})
    held = compute("day.enough_probability", {**asked, "shots": packs * per_charge})
    charger = {"charger_current": kit.charger_current, "efficiency": EFFICIENCY}
    hours = compute("charge.charge_time", {"shots": per_charge, **shot, **charger}) / HOUR
    return Need(
        shots_mean=compute("day.shots_mean", asked),
        shots=int(shots),
        current=current,
        shot_time=shot_time,
        per_charge=int(per_charge),
        packs=int(packs),
        packs_hold=held,
        charge_hours=hours,
        chargers=chargers(int(packs), hours, kit.charging_hours),
    )


def chargers(packs: int, hours: float, charging_hours: float) -> int:
    """Return how many chargers have the packs full again in the time there is: each takes one pack after the other.

    Where the time is too short for one pack, it is a charger for each, and `charge_hours` tells that it does not do.
    """
    return up(packs / max(1, int(charging_hours // hours)))


def _shot(kit: Kit) -> tuple[float, float]:
    """Return current and time of a shot: in the cold the pack holds back, and the wire takes longer to burn."""
    if kit.cells is None:
        return kit.current, kit.shot_time
    ratio = compute("pack.cold_ratio", {"cell_temperature": kit.cells, "reference_temperature": WARM_CELLS})
    resistance = compute("pack.cold_resistance", {"pack_resistance": kit.pack_resistance, "cold_ratio": ratio})
    warm = {"rest_voltage": REST_VOLTAGE, "arc_voltage": ARC_VOLTAGE, "current": kit.current}
    added = {"added_resistance": resistance - kit.pack_resistance}
    current = compute("circuit.added_resistance_current_arc_voltage", {**warm, **added})
    return current, compute("fuse.time_ratio", {"time": kit.shot_time, "current": kit.current, "new_current": current})
