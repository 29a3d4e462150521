"""Why somebody may not sign, decide or approve."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import F, Max, Q, QuerySet
from django.utils.formats import date_format

from certs.schemes import queries as schemes
from certs.schemes.models import Authority, Scheme, SchemeIssue, TrainingAct
from certs.schemes.rules import Act
from certs.signoffs import rules
from certs.signoffs.models import APPROVAL_WORDS, DECISION_WORDS, OBJECTION_WORDS, AssessorException, Signoff
from certs.signoffs.rules import Case, DecisionCase, Leave, Objection
from training.content.schemes import Decided
from training.people.models import Person
from training.people.rules import Role, sees_every_employer
from training.procedures.queries import unread
from training.quizzes.queries import counts_as_passed, passed_sitting


def counting() -> QuerySet[Signoff]:
    """Return the sign-offs that count: passed, not corrected since, not refused by a decision."""
    return Signoff.objects.filter(passed=True, replaced_by=None).exclude(decision__granted=False)


def usable_exceptions(replaces: UUID | None = None) -> QuerySet[AssessorException]:
    """Return the exceptions, not refused, that no sign-off has used up; one behind a corrected record serves again."""
    unused = Q(signoffs=None) | Q(signoffs=replaces) if replaces else Q(signoffs=None)
    return AssessorException.objects.filter(unused, refused_at=None)


def exception_for(
    assessor: Person, candidate: Person, scheme: Scheme, *, replaces: UUID | None = None
) -> AssessorException | None:
    """Return the exception that lets this assessor sign, an approved one before one still asked for."""
    found = usable_exceptions(replaces).filter(assessor=assessor, candidate=candidate, scheme=scheme)
    return found.order_by(F("approved_at").asc(nulls_first=True), "pk").last()


def leave_of(exception: AssessorException | None) -> Leave:
    """Say where an exception stands."""
    if exception is None:
        return Leave.NONE
    return Leave.ASKED if exception.approved_at is None else Leave.APPROVED


def case(
    assessor: Person, candidate: Person, issue: SchemeIssue, *, days: Iterable[date], replaces: Signoff | None = None
) -> Case:
    """Gather what decides whether this assessor may sign; `days` are those of the practical and of signing.

    A correction stands on the paper and the readings of the record it replaces.
    """
    wanted, scheme = schemes.spec(issue), issue.scheme
    sitting = replaces.sitting if replaces else passed_sitting(candidate, wanted.paper)
    signed = counting().filter(person=candidate, scheme_issue__scheme=scheme, sitting=sitting)
    return Case(
        is_oneself=assessor.pk == candidate.pk,
        is_active=assessor.is_active,
        candidate_active=candidate.is_active,
        may_assess=all(schemes.may(assessor, scheme, Act.ASSESSES, day) for day in days),
        trained_to=schemes.last_training(assessor, candidate, scheme),
        leave=leave_of(exception_for(assessor, candidate, scheme, replaces=replaces and replaces.pk)),
        passed_paper=sitting is not None,
        unread=() if replaces else tuple(title for _slug, title, _why in unread(candidate, wanted.modules)),
        signed=sitting is not None and signed.exclude(pk=replaces and replaces.pk).exists(),
    )


def sentences(
    found: Iterable[Objection],
    *,
    candidate: str,
    trained_to: date | None,
    unread: Iterable[str] = (),
    words: Mapping[Objection, Any] = OBJECTION_WORDS,
) -> tuple[str, ...]:
    """Say objections in words, with the days and titles they are about."""
    facts = {
        "candidate": candidate,
        "trained_to": date_format(trained_to) if trained_to else "",
        "free_from": date_format(rules.free_from(trained_to)) if trained_to else "",
        "unread": ", ".join(unread),
    }
    return tuple(str(words[one]) % facts for one in found)


def case_sentences(found: Iterable[Objection], facts: Case, candidate: Person) -> tuple[str, ...]:
    """Say why an assessor may not sign."""
    return sentences(found, candidate=candidate.name, trained_to=facts.trained_to, unread=facts.unread)


@dataclass(frozen=True, slots=True)
class Ties:
    """What ties one member of staff to schemes and candidates: acts held, last training, practicals assessed."""

    acts: frozenset[tuple[int, str]]
    trained: Mapping[tuple[int, int], date]
    assessed: frozenset[tuple[int, int]]


def ties(person: Person, *, on: date) -> Ties:
    """Load what ties a member of staff to schemes and candidates, in three queries."""
    given = TrainingAct.objects.filter(trainer=person).values_list("candidate", "scheme")
    signed = Signoff.objects.filter(assessor=person).values_list("person", "scheme_issue__scheme")
    return Ties(
        frozenset(Authority.objects.in_force_on(on).filter(person=person).values_list("scheme", "act")),
        {(who, scheme): last for who, scheme, last in given.annotate(last=Max("ended_on"))},
        frozenset(signed.distinct()),
    )


def deciding(signoffs: QuerySet[Signoff]) -> QuerySet[Signoff]:
    """Add to each sign-off whether its paper still counts as passed: `paper_counts`."""
    return signoffs.annotate(paper_counts=counts_as_passed("sitting"))


def decision_case(by: Person, signoff: Signoff, known: Ties, *, granting: bool = False) -> DecisionCase:
    """Gather what decides whether this person may decide about a practical loaded by `deciding`; no query."""
    issue, candidate = signoff.scheme_issue, signoff.person
    pair = (candidate.pk, issue.scheme_id)
    return DecisionCase(
        is_oneself=by.pk == candidate.pk,
        is_active=by.is_active,
        candidate_active=candidate.is_active,
        may_decide=(issue.scheme_id, Act.DECIDES.value) in known.acts,
        trained_to=known.trained.get(pair),
        assessed=pair in known.assessed,
        passed=signoff.passed,
        separate=schemes.spec(issue).decision is Decided.SEPARATE,
        decided=hasattr(signoff, "decision"),
        replaced=hasattr(signoff, "replaced_by"),
        # A practical whose paper is no longer passed can still be decided about: refused.
        paper_passed=signoff.paper_counts or not granting,
    )


def decision_sentences(
    by: Person, signoff: Signoff, known: Ties, *, granting: bool = False, on: date
) -> tuple[str, ...]:
    """Say why this person may not decide about a signed practical, or not grant its card; none means may."""
    facts = decision_case(by, signoff, known, granting=granting)
    found = rules.decision_objections(facts, on=on)
    return sentences(found, candidate=signoff.person.name, trained_to=facts.trained_to, words=DECISION_WORDS)


def is_staff(person: Person, *, on: date) -> bool:
    """Say whether a person may stand as the third one: a trainer or an administrator who works across employers."""
    held = person.roles_held.in_force_on(on).values_list("role", flat=True)
    return sees_every_employer({Role(role) for role in held}, of_the_body=person.employer.is_body)


def approval_sentences(exception: AssessorException, viewer: Person, *, is_staff: bool) -> tuple[str, ...]:
    """Say why this person may neither approve nor refuse an exception; none means may do either."""
    found = rules.approval_objections(
        is_candidate=exception.candidate_id == viewer.pk,
        is_assessor=exception.assessor_id == viewer.pk,
        is_active=viewer.is_active,
        is_staff=is_staff,
        answered=exception.approved_at is not None or exception.refused_at is not None,
    )
    return tuple(str(APPROVAL_WORDS[one]) for one in found)
