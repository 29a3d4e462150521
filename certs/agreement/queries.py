"""Practicals that a second assessor is to mark, one of them without the first's marks, and how far two agree."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from certs.agreement import rules
from certs.agreement.models import OBJECTION_WORDS, SecondMarking
from certs.agreement.rules import Sample, Table
from certs.schemes.queries import spec
from certs.schemes.rules import Act
from certs.signoffs import rules as signing
from certs.signoffs.models import Signoff
from certs.signoffs.queries import Ties, photos, ties
from training.content.schemes import Decided
from training.people.models import Person
from training.questions.rounding import printed


def practicals() -> QuerySet[Signoff]:
    """Return the practicals that may be drawn for double marking, each as it was first signed.

    A correction is a new record with a new number: were it drawn anew, correcting would be a way out.
    """
    return Signoff.objects.filter(replaces=None)


def wanted(years: Collection[int] | None = None) -> frozenset[UUID]:
    """Return the practicals of these years, or of every year, that a second assessor is to mark: one query."""
    drawn = practicals() if years is None else practicals().filter(assessed_on__year__in=years)
    by_year: dict[int, list[UUID]] = defaultdict(list)
    for pk, on in drawn.values_list("pk", "assessed_on"):
        by_year[on.year].append(pk)
    return frozenset().union(*(rules.sample(year) for year in by_year.values()))


@dataclass(frozen=True, slots=True)
class Waiter:
    """A practical that waits for a second assessor; `why_not` says why this viewer may not be that."""

    pk: UUID
    name: str
    scheme: str
    on: date
    why_not: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step of the practicals of a scheme, with the two-by-two table and the figures as printed."""

    scheme: str
    text: str
    counts: Table
    agreed: str
    limits: str
    kappa: str
    error: str
    pabak: str
    says: str


@dataclass(frozen=True, slots=True)
class Index:
    """How far assessors agree, and what waits to be marked again."""

    signed: int
    wanted: int
    marked: int
    year: int
    waiting: tuple[Waiter, ...]
    steps: tuple[StepRow, ...]


def index(person: Person, people: QuerySet[Person], *, on: date) -> Index:
    """Return the page of double marking: nine queries, however many practicals there are."""
    chosen, known = wanted(), ties(person, on=on)
    seen = practicals().filter(person__in=people)
    waits = seen.filter(pk__in=chosen, second_marking=None, assessed_on__gt=on - timedelta(days=rules.WAITS_DAYS))
    waits = waits.select_related("person", "scheme_issue", "decision")
    this_year = practicals().filter(assessed_on__year=on.year)
    return Index(
        signed=this_year.count(),
        wanted=this_year.filter(pk__in=chosen).count(),
        marked=this_year.exclude(second_marking=None).count(),
        year=on.year,
        waiting=tuple(_waiter(one, person, known, on=on) for one in waits.order_by("signed_at", "pk")),
        steps=steps(SecondMarking.objects.filter(signoff__person__in=people)),
    )


def _waiter(signoff: Signoff, person: Person, known: Ties, *, on: date) -> Waiter:
    why_not = sentences(signoff, person, known, marked=False, on=on)
    return Waiter(signoff.pk, signoff.person.name, signoff.scheme_issue.title, signoff.assessed_on, why_not)


def sentences(signoff: Signoff, person: Person, known: Ties, *, marked: bool, on: date) -> tuple[str, ...]:
    """Say why a person may not be the second assessor of a practical; none means may."""
    scheme = signoff.scheme_issue.scheme_id
    found = rules.objections(
        is_candidate=signoff.person_id == person.pk,
        is_first=signoff.assessor_id == person.pk,
        may_assess=person.is_active and (scheme, Act.ASSESSES.value) in known.acts,
        near=signing.too_near(known.trained.get((signoff.person_id, scheme)), on=on),
        decides=_decides(signoff, person, known),
        marked=marked,
    )
    return tuple(str(OBJECTION_WORDS[one]) for one in found)


def _decides(signoff: Signoff, person: Person, known: Ties) -> bool:
    """Say whether a person decided about a practical, or may be the one who does."""
    decision = getattr(signoff, "decision", None)
    if decision is not None:
        return bool(decision.by_id == person.pk)
    may = (signoff.scheme_issue.scheme_id, Act.DECIDES.value) in known.acts
    return may and signoff.passed and spec(signoff.scheme_issue).decision is Decided.SEPARATE


def is_sealed(signoff: Signoff, person: Person, *, on: date) -> bool:
    """Say whether the marks of a practical are kept from a person: a second marking waits, and may be theirs to give.

    A correction is sealed as the record it corrects. What cannot be marked as it was seen any more is open.
    """
    if person.pk in (signoff.person_id, signoff.assessor_id):
        return False
    first = signoff
    while first.replaces is not None:
        first = first.replaces
    if first.assessed_on <= on - timedelta(days=rules.WAITS_DAYS):
        return False
    marked = SecondMarking.objects.filter(signoff=first).exists()
    return not sentences(first, person, ties(person, on=on), marked=marked, on=on) and first.pk in in_sample([first.pk])


def steps(markings: QuerySet[SecondMarking]) -> tuple[StepRow, ...]:
    """Return how far two assessors agree on each step, those with most disagreement first: one query."""
    pairs: dict[tuple[str, str], list[tuple[bool, bool]]] = defaultdict(list)
    texts: dict[tuple[str, str], str] = {}
    rows = markings.order_by("pk").values_list("signoff__scheme_issue__title", "signoff__checks", "marks")
    for scheme, checks, marks in rows:
        for check in checks:
            key = (scheme, check["slug"])
            texts[key] = check["text"]
            second = marks.get(check["slug"])
            if second is not None:
                pairs[key].append((bool(check["seen"]), second))
    tables = {key: rules.table(found) for key, found in pairs.items()}
    ranked = sorted(tables.items(), key=lambda pair: (-(pair[1].first + pair[1].second), pair[0]))
    return tuple(_step(key[0], texts[key], counts) for key, counts in ranked)


def _step(scheme: str, text: str, counts: Table) -> StepRow:
    found = rules.figures(counts)
    shown = found.sample is not Sample.FEW
    words = {"agreed": found.agreed, "n": found.n, "share": round(100 * found.agreed / found.n)}
    kappa = "" if found.kappa is None or not shown else printed(f"{found.kappa:.2f}", "")
    return StepRow(
        scheme=scheme,
        text=text,
        counts=counts,
        agreed=_("%(agreed)d of %(n)d: %(share)d\u00a0%%") % words,
        limits=_("%(low)d to %(high)d\u00a0%%")
        % {"low": round(100 * found.limits.low), "high": round(100 * found.limits.high)},
        kappa=kappa,
        error="" if found.error is None or not shown else f"{found.error:.2f}",
        pabak=printed(f"{found.pabak:.2f}", "") if shown else "",
        says=_says(found),
    )


def _says(found: rules.Figures) -> str:
    if found.sample is Sample.FEW:
        return _("Counts alone until there are 30.")
    if found.kappa is None:
        return _("Both always gave the same mark, so chance explains everything: there is no kappa.")
    if found.sample is Sample.PROVISIONAL:
        return _("Provisional until there are 100.")
    return ""


@dataclass(frozen=True, slots=True)
class Reading:
    """The readings of one bond: what was measured, without what the first assessor made of it."""

    position: int
    pin_lot: str
    pack_v: Decimal
    forward_uv: Decimal
    reversed_uv: Decimal
    current_a: Decimal


@dataclass(frozen=True, slots=True)
class Blind:
    """A signed practical without any mark of its first assessor."""

    signoff: Signoff
    checks: tuple[tuple[str, str], ...]
    readings: tuple[Reading, ...]
    photos: tuple[UUID, ...]
    why_not: tuple[str, ...]


def blind(signoff: Signoff, person: Person, *, on: date) -> Blind:
    """Return what a second assessor may see of a practical: texts, readings and photos, no mark and no remark.

    The photos of a sheet filled in on paper stay out: one of them is the sheet itself, with the first one's marks.
    """
    sheet = signoff.sheet
    marked = SecondMarking.objects.filter(signoff=signoff).exists()
    names = ("position", "pin_lot", "pack_v", "forward_uv", "reversed_uv", "current_a")
    return Blind(
        signoff=signoff,
        checks=texts_of(signoff.checks),
        readings=tuple(Reading(*row) for row in signoff.bonds.order_by("position").values_list(*names)),
        photos=photos(sheet) if sheet is not None and not sheet.on_paper else (),
        why_not=sentences(signoff, person, ties(person, on=on), marked=marked, on=on),
    )


def texts_of(checks: Iterable[dict[str, Any]]) -> tuple[tuple[str, str], ...]:
    """Return the steps to mark as slug and text, and nothing else of them."""
    return tuple((check["slug"], check["text"]) for check in checks)


def in_sample(pks: Sequence[UUID]) -> frozenset[UUID]:
    """Keep the practicals that a second assessor is to mark: two queries."""
    years = set(practicals().filter(pk__in=pks).values_list("assessed_on__year", flat=True))
    return wanted(years) & frozenset(pks)
