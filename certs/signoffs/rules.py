"""Who may sign and who decides, and what a sheet of readings comes to.

Plain values only. Voltages across a joint are in microvolts, resistances in micro-ohm, as on the sheet.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, ROUND_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from uuid import UUID, uuid4

from certs.cards.rules import add_months
from training.calc import evidence, joint, pack
from training.calc.pack import Verdict

TOO_NEAR_MONTHS = 24
# A wrong year on the sheet would move the card's first day, so the day lies near (common practice, no source).
DAYS_TO_SIGN = 31
CONFIDENCE = 0.95
# Expanded uncertainty: fewer than 2.5 % of bad packs called good (ILAC-G8:09/2019, binary rule).
COVERAGE = 2
VOLT_STEP = 0.01
# Less than this from pin to rail is a point in the wrong place (common practice, no source).
TOO_LOW_UOHM = Decimal(10)
# Rail steel conducts differently from heat to heat: middle, lowest and highest resistivity in use, ohm*m.
STEEL = (0.22e-6, 0.17e-6, 0.27e-6)
RAIL = next(rail for rail in joint.RAILS if rail.name == "60E1")


class Objection(StrEnum):
    """Why a person may not sign, decide or approve."""

    ONESELF = "oneself"
    CLOSED = "closed"
    CANDIDATE_CLOSED = "candidate closed"
    NOT_ASSESSOR = "not assessor"
    NOT_DECIDER = "not decider"
    TRAINED = "trained"
    NOT_APPROVED = "not approved"
    ASSESSED = "assessed"
    PAPER = "paper"
    UNREAD = "unread"
    SIGNED = "signed"
    NOT_PASSED = "not passed"
    NO_DECISION = "no decision"
    DECIDED = "decided"
    REPLACED = "replaced"
    NO_NEED = "no need"


def free_from(trained_to: date) -> date:
    """Return the first day on which a trainer may assess, or decide about, a person trained up to a day."""
    return add_months(trained_to, TOO_NEAR_MONTHS)


def too_near(trained_to: date | None, *, on: date) -> bool:
    """Say whether training lies so near that the trainer may not judge the candidate: within 24 months of its end."""
    return trained_to is not None and on < free_from(trained_to)


class Leave(StrEnum):
    """Where a declared exception stands."""

    NONE = "none"
    ASKED = "asked"
    APPROVED = "approved"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What is known about an assessor and a candidate under one scheme.

    `trained_to` is the last day this assessor trained this candidate. `may_assess` holds for the day of the
    practical and for the day of signing. `signed`: a sign-off that counts stands already.
    """

    is_oneself: bool
    is_active: bool
    candidate_active: bool
    may_assess: bool
    trained_to: date | None
    leave: Leave
    passed_paper: bool
    unread: tuple[str, ...]
    signed: bool


def objections(case: Case, *, on: date) -> tuple[Objection, ...]:
    """Return every reason why this assessor may not sign this candidate's practical of day `on`; none means may."""
    near = too_near(case.trained_to, on=on)
    reasons = (
        (case.is_oneself, Objection.ONESELF),
        (not case.is_active, Objection.CLOSED),
        (not case.candidate_active, Objection.CANDIDATE_CLOSED),
        (not case.may_assess, Objection.NOT_ASSESSOR),
        (near and case.leave is Leave.NONE, Objection.TRAINED),
        (near and case.leave is Leave.ASKED, Objection.NOT_APPROVED),
        (not case.passed_paper, Objection.PAPER),
        (bool(case.unread), Objection.UNREAD),
        (case.signed, Objection.SIGNED),
    )
    return tuple(objection for holds, objection in reasons if holds)


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionCase:
    """What is known about a decision maker and a signed practical.

    `trained_to` is the last day the decision maker trained the candidate. An exception has no place here: it
    lets somebody assess, never decide.
    """

    is_oneself: bool
    is_active: bool
    candidate_active: bool
    may_decide: bool
    trained_to: date | None
    assessed: bool
    passed: bool
    separate: bool
    decided: bool
    replaced: bool


def decision_objections(case: DecisionCase, *, on: date) -> tuple[Objection, ...]:
    """Return every reason why this person may not decide about this practical on day `on`; none means may."""
    reasons = (
        (case.is_oneself, Objection.ONESELF),
        (not case.is_active, Objection.CLOSED),
        (not case.candidate_active, Objection.CANDIDATE_CLOSED),
        (not case.may_decide, Objection.NOT_DECIDER),
        (case.assessed, Objection.ASSESSED),
        (too_near(case.trained_to, on=on), Objection.TRAINED),
        (not case.passed, Objection.NOT_PASSED),
        (not case.separate, Objection.NO_DECISION),
        (case.decided, Objection.DECIDED),
        (case.replaced, Objection.REPLACED),
    )
    return tuple(objection for holds, objection in reasons if holds)


def exception_objections(found: Iterable[Objection]) -> tuple[Objection, ...]:
    """Return why an exception cannot be declared: it lifts the training rule and nothing else."""
    others = tuple(one for one in found if one not in {Objection.TRAINED, Objection.NOT_APPROVED})
    return others if Objection.TRAINED in found or Objection.NOT_APPROVED in found else (*others, Objection.NO_NEED)


def approval_objections(
    *, is_candidate: bool, is_assessor: bool, is_active: bool, is_staff: bool
) -> tuple[Objection, ...]:
    """Return why this person may not approve an exception: it takes a third person, a trainer or an administrator."""
    reasons = (
        (is_candidate, Objection.ONESELF),
        (is_assessor, Objection.ASSESSED),
        (not is_active, Objection.CLOSED),
        (not is_staff, Objection.NOT_DECIDER),
    )
    return tuple(objection for holds, objection in reasons if holds)


class Fault(StrEnum):
    """Why a bond does not count as good."""

    LOOKS = "looks"
    HAMMER = "hammer"
    NO_GO = "no-go"
    UNPROVEN = "unproven"
    TOO_HIGH = "too high"
    TOO_LOW = "too low"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bond:
    """One test bond as read: pack at rest in V, both readings across the joint in microvolts, current in A."""

    pin_lot: str
    pack_v: Decimal
    visual_good: bool
    hammer_good: bool
    forward_uv: Decimal
    reversed_uv: Decimal
    current_a: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What an issue of a scheme asks of a bond: highest joint in micro-ohm, lowest pack in V, and the meter's error."""

    joint_uohm: Decimal
    pack_floor: Decimal
    meter_percent: Decimal
    meter_digits: int
    bonds: int
    share: Fraction

    @property
    def go_v(self) -> Decimal:
        """Lowest reading in V that proves the pack, as a meter with two decimals shows it."""
        return (self.pack_floor + Decimal(repr(self.guard_v))).quantize(Decimal("0.01"), ROUND_UP)

    @property
    def guard_v(self) -> float:
        """Guard band in V: the meter's expanded uncertainty at the floor."""
        return pack.meter_expanded(
            float(self.pack_floor), float(self.meter_percent) / 100, self.meter_digits, VOLT_STEP
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What a bond's readings come to: joint in micro-ohm, offset in microvolts, rail of equal resistance in m."""

    joint_uohm: Decimal
    offset_uv: Decimal
    pack: Verdict
    rail_m: tuple[Decimal, Decimal, Decimal]
    faults: tuple[Fault, ...]

    @property
    def good(self) -> bool:
        """Whether nothing speaks against the bond."""
        return not self.faults


def joint_uohm(bond: Bond) -> Decimal:
    """Return the joint's resistance (micro-ohm, two decimals) from both polarities; raises OutOfRange."""
    ohm = joint.kelvin(float(bond.forward_uv) / 1e6, float(bond.reversed_uv) / 1e6, float(bond.current_a))
    return _rounded(ohm * 1e6, "0.01")


def finding(bond: Bond, bounds: Bounds) -> Finding:
    """Judge one bond. What is printed is what is judged: the resistance is rounded first. Raises OutOfRange."""
    uohm = joint_uohm(bond)
    verdict = pack.verdict(float(bond.pack_v), float(bounds.pack_floor), bounds.guard_v)
    reasons = (
        (not bond.visual_good, Fault.LOOKS),
        (not bond.hammer_good, Fault.HAMMER),
        (verdict is Verdict.NO_GO, Fault.NO_GO),
        (verdict is Verdict.UNPROVEN, Fault.UNPROVEN),
        (uohm > bounds.joint_uohm, Fault.TOO_HIGH),
        (uohm < TOO_LOW_UOHM, Fault.TOO_LOW),
    )
    middle, low, high = (_rounded(float(uohm) / 1e6 / joint.rail_resistance(rho, RAIL.area), "0.01") for rho in STEEL)
    return Finding(
        joint_uohm=uohm,
        offset_uv=(bond.forward_uv + bond.reversed_uv) / 2,
        pack=verdict,
        # Steel that conducts worse needs less length for the same resistance.
        rail_m=(middle, high, low),
        faults=tuple(fault for holds, fault in reasons if holds),
    )


def _rounded(value: float, step: str) -> Decimal:
    return Decimal(repr(value)).quantize(Decimal(step), ROUND_HALF_UP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One check of the practical: whether it must be right, what it weighs, and whether it was seen done right."""

    slug: str
    critical: bool
    weight: int
    seen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a practical came to: critical checks not seen, share of the others, bonds by position that are not good."""

    missed: tuple[str, ...]
    share: Fraction
    needed: Fraction
    bad: tuple[int, ...]
    bonds: int

    @property
    def passed(self) -> bool:
        """Whether every critical check was seen, every bond is good and the others weigh enough."""
        return not self.missed and not self.bad and self.share >= self.needed

    @property
    def good(self) -> int:
        """Number of good bonds."""
        return self.bonds - len(self.bad)

    @property
    def proves(self) -> Decimal:
        """Share of good bonds, in per cent, that this run proves at 95 % confidence; cut, never rounded up.

        One-sided exact bound (Clopper and Pearson 1934); with every bond good it is the success run (1-C)^(1/n).
        """
        return Decimal(int(evidence.lower_bound(self.good, self.bonds, CONFIDENCE) * 1000)) / 10


def outcome(marks: Sequence[Mark], findings: Sequence[Finding], *, needed: Fraction) -> Outcome:
    """Return what the checks and the bonds come to; `needed` is the share of the weight of the checks not critical."""
    others = [mark for mark in marks if not mark.critical]
    whole = sum(mark.weight for mark in others)
    return Outcome(
        missed=tuple(mark.slug for mark in marks if mark.critical and not mark.seen),
        share=Fraction(sum(mark.weight for mark in others if mark.seen), whole) if whole else Fraction(1),
        needed=needed,
        bad=tuple(position for position, found in enumerate(findings, start=1) if not found.good),
        bonds=len(findings),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A practical as the assessor wrote it down; `seen` holds the slugs of the checks seen done right.

    `key` is the number of the record to be, given out with the empty sheet, so that a sheet sent twice is one record.
    """

    assessed_on: date
    place: str
    air_c: Decimal
    leads_in: bool
    meter: str
    calibrated_until: date
    seen: frozenset[str]
    bonds: tuple[Bond, ...]
    confirmed: bool
    remarks: str = ""
    replaces: UUID | None = None
    key: UUID = field(default_factory=uuid4)


class Slip(StrEnum):
    """What is wrong with a sheet, whoever sends it."""

    FUTURE = "future"
    LATE = "late"
    METER = "meter"
    BONDS = "bonds"
    ORDER = "order"
    UNCONFIRMED = "unconfirmed"


def slips(sheet: Sheet, *, wanted: int, on: date) -> tuple[tuple[Slip, int], ...]:
    """Return what must be put right before a sheet is signed on day `on`, each with the bond's position or 0."""
    late = sheet.replaces is None and sheet.assessed_on < on - timedelta(days=DAYS_TO_SIGN)
    reasons = (
        (sheet.assessed_on > on, Slip.FUTURE),
        (late, Slip.LATE),
        (sheet.calibrated_until < sheet.assessed_on, Slip.METER),
        (len(sheet.bonds) < wanted, Slip.BONDS),
        (not sheet.confirmed, Slip.UNCONFIRMED),
    )
    bonds = enumerate(sheet.bonds, start=1)
    # With the current turned round the voltage turns round: a joint's resistance is above zero.
    turned = [(Slip.ORDER, position) for position, bond in bonds if bond.forward_uv <= bond.reversed_uv]
    return (*((slip, 0) for holds, slip in reasons if holds), *turned)
