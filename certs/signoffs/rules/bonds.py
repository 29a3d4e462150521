"""What a test bond's readings come to. Voltages across a joint are in microvolts, resistances in micro-ohm, as on the
sheet. certs/static/certs/sheet_figures.js does the same in the same order: tests hold both to one table of cases."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, ROUND_UP, Decimal
from enum import StrEnum
from fractions import Fraction

from training.calc import joint, pack
from training.calc.pack import Verdict

VOLT_STEP = 0.01
# The last step of a four-wire set's display, V.
MICRO_STEP = 1e-7
# Less than this from pin to rail is a point in the wrong place (common practice, no source).
TOO_LOW_UOHM = Decimal(10)
# Rail steel conducts differently from heat to heat: middle, lowest and highest resistivity in use, ohm*m.
STEEL = (0.22e-6, 0.17e-6, 0.27e-6)
RAIL = next(rail for rail in joint.RAILS if rail.name == "60E1")


class Fault(StrEnum):
    """Why a bond does not count as good."""

    LOOKS = "looks"
    HAMMER = "hammer"
    NO_GO = "no-go"
    UNPROVEN = "unproven"
    TOO_HIGH = "too high"
    TOO_LOW = "too low"


class Look(StrEnum):
    """What the eye looks for, all of which a good joint shows."""

    RING = "ring"
    WETTED = "wetted"
    SOUND = "sound"
    CENTRED = "centred"


class Again(StrEnum):
    """Whether a bond is the first one tried on its place in the practical, and what went before if not."""

    FIRST = "first"
    REPEATED = "repeated"
    REPAIRED = "repaired"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bond:
    """One test bond as read: pack at rest in V, both readings across the joint in microvolts, current in A.

    `meter` is the serial number of the meter the pack was read with, temperatures are in degC, `burn` is the setting of
    the gun, `looks` what the eye found good, `why` the reason of a repetition. Empty where nobody wrote it down.
    """

    pin_lot: str
    pack_v: Decimal
    visual_good: bool
    hammer_good: bool
    forward_uv: Decimal
    reversed_uv: Decimal
    current_a: Decimal
    spot: str = ""
    meter: str = ""
    air_c: Decimal | None = None
    cell_c: Decimal | None = None
    leads_in: bool | None = None
    burn: str = ""
    looks: frozenset[Look] = frozenset()
    again: Again = Again.FIRST
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What an issue of a scheme asks of a bond: highest joint in micro-ohm, lowest pack in V, the meters' errors."""

    joint_uohm: Decimal
    pack_floor: Decimal
    meter_percent: Decimal
    meter_digits: int
    bonds: int
    share: Fraction
    joint_percent: Decimal = Decimal(1)
    joint_digits: int = 5
    current_percent: Decimal = Decimal(1)

    @property
    def go_v(self) -> Decimal:
        """Lowest reading in V that proves the pack, as a meter with two decimals shows it."""
        return (self.pack_floor + Decimal(repr(self.guard_v))).quantize(Decimal("0.01"), ROUND_UP)

    @property
    def guard_v(self) -> float:
        """Guard band in V: the meter's expanded uncertainty at the floor.

        With coverage factor 2, fewer than 2.5 % of bad packs are called good (ILAC-G8:09/2019, binary rule).
        """
        return pack.meter_expanded(
            float(self.pack_floor), float(self.meter_percent) / 100, self.meter_digits, VOLT_STEP
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What a bond's readings come to: joint and its expanded uncertainty in micro-ohm, offset in microvolts, rail of
    equal resistance in m for middle, worst and best steel."""

    joint_uohm: Decimal
    sure_uohm: Decimal
    offset_uv: Decimal
    pack: Verdict
    rail_m: tuple[Decimal, Decimal, Decimal]
    faults: tuple[Fault, ...]
    near: bool

    @property
    def good(self) -> bool:
        """Whether nothing speaks against the bond."""
        return not self.faults


def joint_uohm(bond: Bond) -> Decimal:
    """Return the joint's resistance (micro-ohm, two decimals) from both polarities; raises OutOfRange."""
    ohm = joint.kelvin(float(bond.forward_uv) / 1e6, float(bond.reversed_uv) / 1e6, float(bond.current_a))
    return _rounded(ohm * 1e6, "0.01")


def sure_uohm(bond: Bond, bounds: Bounds) -> Decimal:
    """Return the expanded uncertainty of the joint's resistance (micro-ohm, two decimals); raises OutOfRange."""
    ohm = joint.kelvin_expanded(
        forward_voltage=float(bond.forward_uv) / 1e6,
        reversed_voltage=float(bond.reversed_uv) / 1e6,
        current=float(bond.current_a),
        reading_share=float(bounds.joint_percent) / 100,
        digits=bounds.joint_digits,
        display_step=MICRO_STEP,
        current_share=float(bounds.current_percent) / 100,
    )
    return _rounded(ohm * 1e6, "0.01")


def rail_rows() -> tuple[float, float, float]:
    """Return the resistance of a metre of rail (ohm/m), of middle, worst and best steel."""
    middle, low, high = (joint.rail_resistance(rho, RAIL.area) for rho in STEEL)
    # Steel that conducts worse needs less length for the same resistance.
    return middle, high, low


def finding(bond: Bond, bounds: Bounds) -> Finding:
    """Judge one bond. What is printed is what is judged: the resistance is rounded first. Raises OutOfRange.

    The limit is compared with the value itself; `near` says that the uncertainty reaches over it.
    """
    uohm, sure = joint_uohm(bond), sure_uohm(bond, bounds)
    verdict = pack.verdict(float(bond.pack_v), float(bounds.pack_floor), bounds.guard_v)
    reasons = (
        (not bond.visual_good, Fault.LOOKS),
        (not bond.hammer_good, Fault.HAMMER),
        (verdict is Verdict.NO_GO, Fault.NO_GO),
        (verdict is Verdict.UNPROVEN, Fault.UNPROVEN),
        (uohm > bounds.joint_uohm, Fault.TOO_HIGH),
        (uohm < TOO_LOW_UOHM, Fault.TOO_LOW),
    )
    middle, worst, best = (_rounded(float(uohm) / 1e6 / row, "0.01") for row in rail_rows())
    return Finding(
        joint_uohm=uohm,
        sure_uohm=sure,
        offset_uv=(bond.forward_uv + bond.reversed_uv) / 2,
        pack=verdict,
        rail_m=(middle, worst, best),
        faults=tuple(fault for holds, fault in reasons if holds),
        near=abs(uohm - bounds.joint_uohm) < sure,
    )


def _rounded(value: float, step: str) -> Decimal:
    # A half that binary digits cannot hold, such as 120.005, is found again in the ninth place, then rounded up.
    found = Decimal(repr(value)).quantize(Decimal("1e-9"), ROUND_HALF_UP)
    return found.quantize(Decimal(step), ROUND_HALF_UP)
