"""A signed practical with everything an auditor asks."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery

from certs.cards.models import Card
from certs.cards.rules import local_day
from certs.schemes import queries as schemes
from certs.signoffs.models import CONFIRMED_WORDS, TOOL_WORDS, Signoff, TestBond
from certs.signoffs.queries.persons import deciding, decision_sentences, ties
from certs.signoffs.queries.photos import photos
from certs.signoffs.queries.sheets import Worked, bounds_of, work_out
from certs.signoffs.rules import Again, Bond, Bounds, Confirmed, Look, Tool
from training.content.practicals import CheckSpec
from training.content.schemes import Decided, SchemeSpec
from training.ledger.models import Entry
from training.people.models import Person
from training.procedures.models import Reading
from training.quizzes.queries import earned
from training.quizzes.rules import figure


@dataclass(frozen=True, slots=True)
class Read:
    """A module as the candidate had read it when the practical was signed."""

    title: str
    revision: int
    read_on: date


@dataclass(frozen=True, slots=True)
class Record:
    """Everything on a signed practical."""

    signoff: Signoff
    wanted: SchemeSpec
    bounds: Bounds
    checks: tuple[Mapping[str, Any], ...]
    worked: Worked
    readings: tuple[Read, ...]
    paper_on: date
    earned: str
    decision: Any
    card: str
    replaced_by: UUID | None
    instruments: tuple[tuple[str, str, date], ...]
    confirmed: str
    photos: tuple[UUID, ...]
    mark: Entry | None
    may_decide: bool
    why_not_decide: tuple[str, ...]
    waits: bool


RECORD = ("person__employer", "assessor", "scheme_issue__scheme", "sitting__paper", "exception__approved_by",
          "decision__by", "replaced_by", "sheet__made_by")  # fmt: skip


def records() -> QuerySet[Signoff]:
    """Return sign-offs with all that their page shows."""
    newest = Card.objects.filter(evidence=OuterRef("pk")).order_by("-pk").values("number")[:1]
    found = Signoff.objects.select_related(*RECORD).prefetch_related("bonds")
    return deciding(found.annotate(card_number=Subquery(newest)))


def record(signoff: Signoff, *, viewer: Person, on: date) -> Record:
    """Gather the page of a signed practical, loaded through `records()`."""
    wanted = schemes.spec(signoff.scheme_issue)
    bounds, sitting = bounds_of(wanted), signoff.sitting
    asked = tuple(CheckSpec(**{key: one[key] for key in CHECK_KEYS}) for one in signoff.checks)
    seen = frozenset(one["slug"] for one in signoff.checks if one["seen"])
    why_not = decision_sentences(viewer, signoff, ties(viewer, on=on), on=on)
    decision = getattr(signoff, "decision", None)
    replaced_by = getattr(signoff, "replaced_by", None)
    return Record(
        signoff=signoff,
        wanted=wanted,
        bounds=bounds,
        checks=tuple(signoff.checks),
        worked=work_out(bonds_of(signoff), asked, seen, bounds),
        readings=_readings(signoff, wanted),
        paper_on=local_day(sitting.handed_in_at, signoff.person.employer.zone),
        earned=figure(earned(sitting)),
        decision=decision,
        card=signoff.card_number or "",
        replaced_by=replaced_by and replaced_by.pk,
        instruments=instruments_of(signoff),
        confirmed=str(CONFIRMED_WORDS[Confirmed(signoff.confirmed)]) if signoff.confirmed else "",
        photos=photos(signoff.sheet),
        mark=mark_of(signoff),
        may_decide=not why_not,
        why_not_decide=why_not,
        waits=wanted.decision is Decided.SEPARATE and signoff.passed and decision is None and replaced_by is None,
    )


def instruments_of(signoff: Signoff) -> tuple[tuple[str, str, date], ...]:
    """Return each instrument: what for, its serial number, the last day its calibration was good."""
    kept = [(one["tool"], one["serial"], date.fromisoformat(one["until"])) for one in signoff.instruments]
    return tuple(
        (str(TOOL_WORDS[Tool(tool)]), serial, until)
        for tool, serial, until in kept or [(Tool.VOLT, signoff.meter, signoff.calibrated_until)]
    )


def mark_of(signoff: Signoff) -> Entry | None:
    """Return the ledger's entry of a signature; its mark stands for everything written up to it."""
    return Entry.objects.filter(act="practical signed", at=signoff.signed_at, about__signoff=str(signoff.pk)).first()


CHECK_KEYS = ("module", "slug", "step", "text", "good", "critical", "weight")


def bonds_of(signoff: Signoff) -> list[Bond]:
    """Return the bonds of a record as they were read."""
    rows: list[TestBond] = sorted(signoff.bonds.all(), key=lambda row: row.position)
    return [_bond(row) for row in rows]


def _bond(row: TestBond) -> Bond:
    facts = {field.name: getattr(row, field.name) for field in fields(Bond)}
    read = {"looks": frozenset(Look(look) for look in row.looks), "again": Again(row.again)}
    return Bond(**facts | read)


def _readings(signoff: Signoff, wanted: SchemeSpec) -> tuple[Read, ...]:
    rows = Reading.objects.filter(
        person=signoff.person, read_at__lte=signoff.signed_at, revision__module__slug__in=wanted.modules
    ).select_related("revision__module")
    last = {row.revision.module.slug: row for row in rows.order_by("revision__number").defer("revision__body")}
    zone = signoff.person.employer.zone
    return tuple(
        Read(last[slug].revision.title, last[slug].revision.number, local_day(last[slug].read_at, zone))
        for slug in wanted.modules
        if slug in last
    )
