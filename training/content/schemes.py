"""What a card asks for, read from ``schemes.toml``: plain values, which the rooms of ``certs`` give their meaning."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Any
from zoneinfo import available_timezones

from training.content.spec import Spec
from training.content.table import SLUG, Table


class Unconfirmed(StrEnum):
    """What follows when work was not confirmed in time."""

    STOPS = "stops"
    WARNS = "warns"


class LastDay(StrEnum):
    """The last valid day: the eve of the anniversary or the anniversary itself."""

    EVE = "eve"
    ANNIVERSARY = "anniversary"


class Decided(StrEnum):
    """Whether signing leads straight to the card or waits for a named decision maker."""

    ON_SIGNING = "on signing"
    SEPARATE = "separate"


@dataclass(frozen=True, slots=True, kw_only=True)
class SchemeSpec(Spec):
    """A scheme's issue. Spans are in months, ``joint_limit`` in micro-ohm, ``pack_floor`` in V.

    ``practical_share`` is the share of the weight of the checks not critical that a practical must reach.
    ``joint_percent`` of the reading and ``joint_digits`` of 0.1 microvolt is the largest error the four-wire set may
    have, ``current_percent`` that of its current. ``trainer_days`` is what one renewal takes of a trainer's time.
    """

    slug: str
    issue: int
    title: str
    scope: str
    limits: str
    modules: tuple[str, ...]
    paper: str
    practical: tuple[str, ...]
    months: int
    confirm_months: int
    unconfirmed: Unconfirmed
    last_day: LastDay
    zone: str
    renew_months: int
    grace_months: int
    bonds: int
    joint_limit: Decimal
    joint_limit_source: str
    meter_percent: Decimal
    meter_digits: int
    pack_floor: Decimal
    decision: Decided
    language: str
    practical_share: Fraction = Fraction(4, 5)
    joint_percent: Decimal = Decimal(1)
    joint_digits: int = 5
    current_percent: Decimal = Decimal(1)
    trainer_days: Decimal | None = None

    def as_json(self) -> dict[str, Any]:
        """Return every field as JSON values; a duration that is left out leaves no trace, as in issues before it."""
        facts = Spec.as_json(self)
        return facts if self.trainer_days is not None else {k: v for k, v in facts.items() if k != "trainer_days"}


def schemes(table: Table) -> tuple[SchemeSpec, ...]:
    """Read every ``[[scheme]]``; the table holds the mistakes."""
    found = tuple(_scheme(inner) for inner in table.tables("scheme"))
    table.done()
    table.once("scheme", [scheme.slug for scheme in found])
    return found


def _scheme(table: Table) -> SchemeSpec:
    spec = SchemeSpec(
        slug=table.text("slug", shape=SLUG),
        issue=table.whole("issue"),
        title=table.text("title"),
        scope=table.text("scope"),
        limits=table.text("limits"),
        modules=table.texts("modules", required=True),
        paper=table.text("paper", shape=SLUG),
        practical=table.texts("practical", required=True),
        months=table.whole("months", high=120),
        confirm_months=table.whole("confirm_months", high=120),
        unconfirmed=table.choice("unconfirmed", Unconfirmed),
        last_day=table.choice("last_day", LastDay),
        zone=table.text("zone"),
        renew_months=table.whole("renew_months", low=0, high=60),
        grace_months=table.whole("grace_months", low=0, high=60),
        bonds=table.whole("bonds", high=50),
        joint_limit=table.decimal("joint_limit"),
        joint_limit_source=table.text("joint_limit_source"),
        meter_percent=table.decimal("meter_percent"),
        meter_digits=table.whole("meter_digits", low=0, high=100),
        pack_floor=table.decimal("pack_floor"),
        decision=table.choice("decision", Decided),
        language=table.text("language", "en", shape=SLUG),
        practical_share=table.share("practical_share", Fraction(4, 5)),
        joint_percent=table.decimal("joint_percent", Decimal(1)),
        joint_digits=table.whole("joint_digits", 5, low=0, high=1000),
        current_percent=table.decimal("current_percent", Decimal(1)),
        trainer_days=table.decimal("trainer_days") if "trainer_days" in table.data else None,
    )
    table.done()
    _check(table, spec)
    return spec


def _check(table: Table, spec: SchemeSpec) -> None:
    if spec.zone and spec.zone not in available_timezones():
        table.refuse("zone", f"{spec.zone!r} is no time zone; write it like Europe/London")
    for name, value in (("joint_limit", spec.joint_limit), ("pack_floor", spec.pack_floor)):
        if name in table.data and value <= 0:
            table.refuse(name, "must be above 0")
    # The range of the computation of a meter's error.
    for name, percent in (("joint_percent", spec.joint_percent), ("current_percent", spec.current_percent)):
        if not 0 <= percent <= 10:
            table.refuse(name, "must be from 0 to 10")
    if spec.trainer_days is not None and not 0 < spec.trainer_days <= 30:
        table.refuse("trainer_days", "must be above 0 and at most 30")
    if not 0 <= spec.meter_percent < 100:
        table.refuse("meter_percent", "must be from 0 to below 100")
    if spec.renew_months >= spec.months:
        table.refuse("renew_months", "must be shorter than 'months'")
    for stray in sorted(set(spec.practical) - set(spec.modules)):
        table.refuse("practical", f"{stray!r} is not among the modules of this scheme")
