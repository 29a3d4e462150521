"""What a sheet is made from, and what a filled one comes to."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from certs.schemes import queries as schemes
from certs.schemes.models import Authority, SchemeIssue
from certs.schemes.rules import Act
from certs.signoffs import rules
from certs.signoffs.models import AGAIN_WORDS, FAULT_WORDS, LOOK_WORDS, AssessorException, ReceivedSheet, Signoff
from certs.signoffs.queries.exceptions import refusals
from certs.signoffs.queries.persons import case, case_sentences, exception_for
from certs.signoffs.rules import Again, Bond, Bounds, Finding, Look, Mark, Objection, Outcome
from training.calc.pack import Verdict
from training.content.practicals import CheckSpec
from training.content.schemes import SchemeSpec
from training.people.models import Person
from training.procedures.models import Revision
from training.procedures.queries import Drawing, in_force, text

MOST_BONDS = 20
# What an assessor's sheets have in common from one to the next: their instruments, and how their gun is set.
LAST_USED = (
    "place", "volt_meter", "volt_until", "set_meter", "set_until", "spare_meter", "spare_until", "bond_1_pin_lot",
    "bond_1_burn", "bond_1_current_a",
)  # fmt: skip


def bounds_of(wanted: SchemeSpec) -> Bounds:
    """Return what an issue of a scheme asks of a bond and of a practical."""
    return Bounds(
        joint_uohm=wanted.joint_limit,
        pack_floor=wanted.pack_floor,
        meter_percent=wanted.meter_percent,
        meter_digits=wanted.meter_digits,
        bonds=wanted.bonds,
        share=wanted.practical_share,
        joint_percent=wanted.joint_percent,
        joint_digits=wanted.joint_digits,
        current_percent=wanted.current_percent,
    )


@dataclass(frozen=True, slots=True)
class Prompt:
    """A check with the step it watches, as the procedure in force tells it; `step` is empty where it is no more.

    `is_first` marks the first check of a step: the step and its drawing are shown once.
    """

    check: CheckSpec
    module: str
    slug: str
    step: str
    revision: int
    drawing: Drawing | None
    is_first: bool


@dataclass(frozen=True, slots=True)
class SheetPage:
    """What the sheet of a practical is made from. `why_not` is empty when the viewer may sign today.

    `refusal` is what was answered to the exception the viewer asked for last, where that keeps them from signing.
    """

    candidate: Person
    issue: SchemeIssue
    wanted: SchemeSpec
    bounds: Bounds
    checks: tuple[CheckSpec, ...]
    prompts: tuple[Prompt, ...]
    modules: tuple[tuple[str, str], ...]
    on: date
    at: datetime
    time_of_day: time
    assessors: tuple[tuple[int, str], ...]
    last_used: Mapping[str, Any]
    why_not: tuple[str, ...]
    may_ask: bool
    refusal: str
    exception: AssessorException | None
    replaces: Signoff | None

    @property
    def figures(self) -> dict[str, str]:
        """What the script on the page works with, by name; each number as its shortest text, so that none is lost."""
        bounds = self.bounds
        runs = {f"{good}/{n}": str(rules.proves(good, n)) for n in range(1, MOST_BONDS + 1) for good in range(n + 1)}
        return {
            "limit": str(bounds.joint_uohm),
            "too-low": str(rules.TOO_LOW_UOHM),
            "floor": repr(float(bounds.pack_floor)),
            "guard": repr(bounds.guard_v),
            "reading-share": repr(float(bounds.joint_percent) / 100),
            "current-share": repr(float(bounds.current_percent) / 100),
            "digits": str(bounds.joint_digits),
            "step": repr(rules.MICRO_STEP),
            "rails": " ".join(map(repr, rules.rail_rows())),
            "runs": json.dumps(runs),
        }


def sheet(
    assessor: Person, candidate: Person, issue: SchemeIssue, *, replaces: Signoff | None, at: datetime, on: date
) -> SheetPage:
    """Gather a sheet for an assessor and a candidate; the practical is taken as of today until its day is known."""
    facts = case(assessor, candidate, issue, days=[on], replaces=replaces)
    found = rules.objections(facts, on=on)
    wanted, asked, may_ask = schemes.spec(issue), schemes.checks(issue), found == (Objection.TRAINED,)
    revisions = {revision.module.slug: revision for revision in in_force()}
    return SheetPage(
        candidate=candidate,
        issue=issue,
        wanted=wanted,
        bounds=bounds_of(wanted),
        checks=asked,
        prompts=_prompts(asked, revisions),
        modules=tuple((slug, revisions[slug].title if slug in revisions else slug) for slug in wanted.practical),
        on=on,
        at=at,
        time_of_day=at.astimezone(ZoneInfo(assessor.employer.zone)).time().replace(second=0, microsecond=0),
        assessors=_assessors(issue, candidate),
        last_used=last_used(assessor),
        why_not=case_sentences(found, facts, candidate),
        may_ask=may_ask,
        refusal=refusals(assessor, candidate).get((candidate.pk, issue.scheme_id), "") if may_ask else "",
        exception=exception_for(assessor, candidate, issue.scheme, replaces=replaces and replaces.pk),
        replaces=replaces,
    )


def _prompts(asked: Iterable[CheckSpec], revisions: Mapping[str, Revision]) -> tuple[Prompt, ...]:
    told = {slug: {step["slug"]: step for step in revision.body["steps"]} for slug, revision in revisions.items()}
    drawn: dict[str, dict[str, Drawing]] = {}
    seen: set[str] = set()
    prompts = []
    for check in asked:
        module, _point, slug = check.step.partition(".")
        step = told.get(module, {}).get(slug)
        if step and step["drawing"] and module not in drawn:
            whole = text(revisions[module])
            drawn[module] = {one.slug: one.drawing for one in (*whole.steps, *whole.faults) if one.drawing}
        prompts.append(
            Prompt(
                check=check,
                module=module,
                slug=slug,
                step=step["title"] if step else "",
                revision=revisions[module].number if step else 0,
                drawing=drawn.get(module, {}).get(slug),
                is_first=check.step not in seen,
            )
        )
        seen.add(check.step)
    return tuple(prompts)


def _assessors(issue: SchemeIssue, candidate: Person) -> tuple[tuple[int, str], ...]:
    held = Authority.objects.filter(scheme=issue.scheme, act=Act.ASSESSES, person__is_active=True)
    rows = held.exclude(person=candidate).order_by("person__name").values_list("person", "person__name")
    return tuple(dict.fromkeys(rows))


def last_used(assessor: Person) -> dict[str, str]:
    """Return what stood on this assessor's last sheet and is likely to stand on the next one, as it was typed."""
    last = ReceivedSheet.objects.filter(made_by=assessor).order_by("-received_at").first()
    typed = {name: last.body.get(name, "") if last else "" for name in LAST_USED}
    return {name: value for name, value in typed.items() if isinstance(value, str) and value}


def marks(checks: Iterable[CheckSpec], seen: frozenset[str]) -> list[Mark]:
    """Pair each check of an issue with whether it was seen done right."""
    return [Mark(slug=one.slug, critical=one.critical, weight=one.weight, seen=one.slug in seen) for one in checks]


@dataclass(frozen=True, slots=True)
class BondLine:
    """One bond, ready to print: what was read, what it comes to, what speaks against it, what the eye found bad."""

    position: int
    bond: Bond
    finding: Finding
    pack: str
    faults: tuple[str, ...]
    looks: tuple[str, ...]
    again: str


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
    return BondLine(
        position=position,
        bond=bond,
        finding=found,
        pack=packs[found.pack],
        faults=tuple(str(FAULT_WORDS[one]) for one in found.faults),
        looks=tuple(str(LOOK_WORDS[look]) for look in Look if bond.looks and look not in bond.looks),
        again="" if bond.again is Again.FIRST else str(AGAIN_WORDS[bond.again]),
    )


def _percent(share: Fraction) -> str:
    """Return a share in whole per cent, cut: 79.9 must not read as 80."""
    return f"{int(share * 100)} %"
