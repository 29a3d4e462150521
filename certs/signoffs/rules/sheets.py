"""What a whole sheet comes to, and what must be put right before it counts. Plain values only."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from uuid import UUID, uuid4

from certs.signoffs.rules.bonds import Again, Bond, Finding
from training.calc import evidence

# A wrong year on the sheet would move the card's first day, so the day lies near (common practice, no source).
DAYS_TO_SIGN = 31
CONFIDENCE = 0.95


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
        """Share of good bonds, in per cent, that this run proves."""
        return proves(self.good, self.bonds)


def proves(good: int, bonds: int) -> Decimal:
    """Return the share of good bonds, in per cent, that a run proves at 95 % confidence; cut, never rounded up.

    One-sided exact bound (Clopper and Pearson 1934); with every bond good it is the success run (1-C)^(1/n).
    """
    return Decimal(int(evidence.lower_bound(good, bonds, CONFIDENCE) * 1000)) / 10


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


class Tool(StrEnum):
    """What an instrument on a sheet is for."""

    VOLT = "volt"
    SET = "set"
    SPARE = "spare"


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument that was read: what for, its serial number, and the last day its calibration is good."""

    tool: Tool
    serial: str
    calibrated_until: date


@dataclass(frozen=True, slots=True)
class Pause:
    """An interruption of a practical: from, to (local times), and why."""

    begun: time
    ended: time
    why: str


class Confirmed(StrEnum):
    """How the candidate confirmed a sheet."""

    PASSWORD = "password"  # noqa: S105 - a word for it, not one
    BOX = "box"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A practical as the assessor wrote it down; `seen` holds the slugs of the checks seen done right.

    `key` is the number of the record to be, given out with the empty sheet, so that a sheet sent twice is one record.
    `meter` is the one that reads the pack, and `further` the other instruments. Times are local to the place.
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
    further: tuple[Instrument, ...] = ()
    started: time | None = None
    stopped: time | None = None
    pauses: tuple[Pause, ...] = ()

    @property
    def instruments(self) -> tuple[Instrument, ...]:
        """Every instrument that was read."""
        return (Instrument(Tool.VOLT, self.meter, self.calibrated_until), *self.further)


class Slip(StrEnum):
    """What is wrong with a sheet, whoever sends it."""

    FUTURE = "future"
    LATE = "late"
    METER = "meter"
    BONDS = "bonds"
    ORDER = "order"
    REASON = "reason"
    UNCONFIRMED = "unconfirmed"


def slips(sheet: Sheet, *, wanted: int, on: date) -> tuple[tuple[Slip, int], ...]:
    """Return what must be put right before a sheet is signed on day `on`.

    Each comes with the position of the bond it is about, or of the instrument (from 0), or 0.
    """
    late = sheet.replaces is None and sheet.assessed_on < on - timedelta(days=DAYS_TO_SIGN)
    reasons = (
        (sheet.assessed_on > on, Slip.FUTURE),
        (late, Slip.LATE),
        (len(sheet.bonds) < wanted, Slip.BONDS),
        (not sheet.confirmed, Slip.UNCONFIRMED),
    )
    whole = [(slip, 0) for holds, slip in reasons if holds]
    stale = [(Slip.METER, n) for n, one in enumerate(sheet.instruments) if one.calibrated_until < sheet.assessed_on]
    bonds = list(enumerate(sheet.bonds, start=1))
    # With the current turned round the voltage turns round: a joint's resistance is above zero.
    turned = [(Slip.ORDER, position) for position, bond in bonds if bond.forward_uv <= bond.reversed_uv]
    unsaid = [(Slip.REASON, position) for position, bond in bonds if bond.again is not Again.FIRST and not bond.why]
    return (*whole, *stale, *turned, *unsaid)
