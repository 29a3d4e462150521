"""What a sheet is made from, and what a filled one comes to."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.utils.translation import gettext as _

from certs.schemes import queries as schemes
from certs.schemes.models import SchemeIssue
from certs.signoffs import rules
from certs.signoffs.models import FAULT_WORDS, AssessorException, Signoff
from certs.signoffs.queries.persons import case, case_sentences, exception_for
from certs.signoffs.rules import Bond, Bounds, Finding, Mark, Objection, Outcome
from training.calc.pack import Verdict
from training.content.practicals import CheckSpec
from training.content.schemes import SchemeSpec
from training.people.models import Person
from training.procedures.queries import in_force


def bounds_of(wanted: SchemeSpec) -> Bounds:
    """Return what an issue of a scheme asks of a bond and of a practical."""
    return Bounds(
        joint_uohm=wanted.joint_limit,
        pack_floor=wanted.pack_floor,
        meter_percent=wanted.meter_percent,
        meter_digits=wanted.meter_digits,
        bonds=wanted.bonds,
        share=wanted.practical_share,
    )


@dataclass(frozen=True, slots=True)
class SheetPage:
    """What the sheet of a practical is made from. `why_not` is empty when the viewer may sign today."""

    candidate: Person
    issue: SchemeIssue
    wanted: SchemeSpec
    bounds: Bounds
    checks: tuple[CheckSpec, ...]
    modules: tuple[tuple[str, str], ...]
    on: date
    why_not: tuple[str, ...]
    may_ask: bool
    exception: AssessorException | None
    replaces: Signoff | None


def sheet(assessor: Person, candidate: Person, issue: SchemeIssue, *, replaces: Signoff | None, on: date) -> SheetPage:
    """Gather a sheet for an assessor and a candidate; the practical is taken as of today until its day is known."""
    facts = case(assessor, candidate, issue, days=[on], replaces=replaces)
    found = rules.objections(facts, on=on)
    wanted = schemes.spec(issue)
    titles = {revision.module.slug: revision.title for revision in in_force().defer("body")}
    return SheetPage(
        candidate=candidate,
        issue=issue,
        wanted=wanted,
        bounds=bounds_of(wanted),
        checks=schemes.checks(issue),
        modules=tuple((slug, titles.get(slug, slug)) for slug in wanted.practical),
        on=on,
        why_not=case_sentences(found, facts, candidate),
        may_ask=found == (Objection.TRAINED,),
        exception=exception_for(assessor, candidate, issue.scheme, replaces=replaces and replaces.pk),
        replaces=replaces,
    )


def marks(checks: Iterable[CheckSpec], seen: frozenset[str]) -> list[Mark]:
    """Pair each check of an issue with whether it was seen done right."""
    return [Mark(slug=one.slug, critical=one.critical, weight=one.weight, seen=one.slug in seen) for one in checks]


@dataclass(frozen=True, slots=True)
class BondLine:
    """One bond, ready to print: what was read, what it comes to, and what speaks against it."""

    position: int
    bond: Bond
    finding: Finding
    pack: str
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Worked:
    """What a sheet comes to, ready to print."""

    lines: tuple[BondLine, ...]
    outcome: Outcome
    missed: tuple[str, ...]
    share: str
    needed: str


def work_out(bonds: Iterable[Bond], checks: tuple[CheckSpec, ...], seen: frozenset[str], bounds: Bounds) -> Worked:
    """Compute a sheet: every bond, the checks, and the result. Raises OutOfRange."""
    bonds = list(bonds)
    findings = [rules.finding(bond, bounds) for bond in bonds]
    result = rules.outcome(marks(checks, seen), findings, needed=bounds.share)
    return Worked(
        lines=tuple(
            _line(n, bond, found) for n, (bond, found) in enumerate(zip(bonds, findings, strict=True), start=1)
        ),
        outcome=result,
        missed=tuple(one.text for one in checks if one.slug in result.missed),
        share=_percent(result.share),
        needed=_percent(result.needed),
    )


def _line(position: int, bond: Bond, found: Finding) -> BondLine:
    packs = {Verdict.GO: _("go"), Verdict.NO_GO: _("no go"), Verdict.UNPROVEN: _("not proven")}
    return BondLine(position, bond, found, packs[found.pack], tuple(str(FAULT_WORDS[one]) for one in found.faults))


def _percent(share: Fraction) -> str:
    """Return a share in whole per cent, cut: 79.9 must not read as 80."""
    return f"{int(share * 100)} %"
