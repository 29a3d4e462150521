"""What waits for a signature, a decision or an approval."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import F, QuerySet

from certs.cards.rules import local_day
from certs.schemes import queries as schemes
from certs.schemes.models import SchemeIssue
from certs.schemes.rules import Act
from certs.signoffs import rules
from certs.signoffs.models import AssessorException, ReceivedSheet, Signoff
from certs.signoffs.queries.exceptions import Asked, asked, open_exceptions, refusals
from certs.signoffs.queries.persons import (
    Ties,
    case_sentences,
    counting,
    deciding,
    decision_sentences,
    leave_of,
    ties,
    usable_exceptions,
)
from certs.signoffs.rules import Case, Objection
from training.content.schemes import Decided
from training.people.models import Person
from training.procedures.models import Reading
from training.procedures.queries import in_force
from training.quizzes.models import Sitting
from training.quizzes.queries import passed_people


@dataclass(frozen=True, slots=True)
class Waiter:
    """Somebody who passed the paper and waits for the practical; `why_not` is empty when the viewer may sign.

    `seen_by` is who has seen it already and filled in the sheet, which waits for their signature. `refusal` is what was
    answered to the exception the viewer asked for last.
    """

    person_id: int
    name: str
    employer: str
    scheme: str
    slug: str
    passed_on: date
    why_not: tuple[str, ...]
    may_ask: bool
    seen_by: str
    refusal: str


@dataclass(frozen=True, slots=True)
class Undecided:
    """A passed practical that waits for a decision."""

    pk: UUID
    name: str
    scheme: str
    assessor: str
    assessed_on: date
    why_not: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Waiting:
    """The page of what waits."""

    waiters: tuple[Waiter, ...]
    undecided: tuple[Undecided, ...]
    asked: tuple[Asked, ...]


def waiting(viewer: Person, people: QuerySet[Person], *, on: date) -> Waiting:
    """List what waits for a signature, a decision or an approval, among these people, oldest first.

    The number of queries depends on the number of papers, not on the number of people.
    """
    known = ties(viewer, on=on)
    seen = set(people.values_list("pk", flat=True))
    return Waiting(
        tuple(_waiters(viewer, seen, known, on=on)),
        tuple(_undecided(viewer, seen, known, on=on)),
        tuple(one for one in asked(open_exceptions(), viewer, on=on) if one.candidate_id in seen),
    )


def _waiters(viewer: Person, seen: set[int], known: Ties, *, on: date) -> list[Waiter]:
    issues = {issue: schemes.spec(issue) for issue in schemes.current_issues()}
    passes = {slug: passed_people(slug) for slug in sorted({wanted.paper for wanted in issues.values()})}
    done = {(row.person_id, row.scheme_issue.scheme_id, row.sitting_id) for row in _counted()}
    latest = {revision.module.slug: revision.pk for revision in in_force().defer("body")}
    read = set(Reading.objects.filter(revision__in=latest.values()).values_list("person", "revision"))
    leaves = {(row.candidate_id, row.scheme_id): row for row in _leaves(viewer)}
    filled = {(candidate, scheme): assessor for candidate, scheme, assessor in _filled()}
    refused = refusals(viewer)
    found = []
    for issue, wanted in issues.items():
        needed = [latest[slug] for slug in wanted.modules if slug in latest]
        for sitting in passes[wanted.paper]:
            person, key = sitting.person, (sitting.person_id, issue.scheme_id)
            is_done = (*key, sitting.pk) in done
            is_ready = person.is_active and all((person.pk, revision) in read for revision in needed)
            if is_done or not is_ready or person.pk not in seen:
                continue
            facts = Case(
                is_oneself=person.pk == viewer.pk,
                is_active=viewer.is_active,
                candidate_active=True,
                may_assess=(issue.scheme_id, Act.ASSESSES.value) in known.acts,
                trained_to=known.trained.get(key),
                leave=leave_of(leaves.get(key)),
                passed_paper=True,
                unread=(),
                signed=False,
            )
            why_not = rules.objections(facts, on=on)
            waiter = _waiter(sitting, issue, facts, why_not, seen_by=filled.get(key, ""), refusal=refused.get(key, ""))
            found.append((sitting.handed_in_at, issue.title, waiter))
    return [waiter for _at, _title, waiter in sorted(found, key=lambda row: row[:2])]


def _waiter(
    sitting: Sitting, issue: SchemeIssue, facts: Case, why_not: tuple[Objection, ...], *, seen_by: str, refusal: str
) -> Waiter:
    person, may_ask = sitting.person, why_not == (Objection.TRAINED,)
    return Waiter(
        person_id=person.pk,
        name=person.name,
        employer=person.employer.name,
        scheme=issue.title,
        slug=issue.scheme.slug,
        passed_on=local_day(sitting.handed_in_at, person.employer.zone),
        why_not=case_sentences(why_not, facts, person),
        may_ask=may_ask,
        seen_by=seen_by,
        refusal=refusal if may_ask else "",
    )


def _counted() -> QuerySet[Signoff]:
    return counting().select_related("scheme_issue").only("person", "sitting", "scheme_issue__scheme")


def _filled() -> QuerySet[ReceivedSheet, tuple[int, int, str]]:
    found = ReceivedSheet.objects.filter(signoff=None, do_again=None).order_by("received_at", "pk")
    return found.values_list("candidate", "scheme_issue__scheme", "assessor__name")


def _leaves(viewer: Person) -> QuerySet[AssessorException]:
    found = usable_exceptions().filter(assessor=viewer)
    return found.order_by(F("approved_at").asc(nulls_first=True), "pk")


def _undecided(viewer: Person, seen: set[int], known: Ties, *, on: date) -> list[Undecided]:
    rows = counting().filter(decision=None, scheme_issue__body__decision=Decided.SEPARATE.value)
    loaded = rows.select_related("person__employer", "assessor", "scheme_issue", "decision", "replaced_by")
    return [
        Undecided(
            pk=row.pk,
            name=row.person.name,
            scheme=row.scheme_issue.title,
            assessor=row.assessor.name,
            assessed_on=row.assessed_on,
            why_not=decision_sentences(viewer, row, known, on=on),
        )
        for row in deciding(loaded).order_by("signed_at")
        if row.person_id in seen
    ]
