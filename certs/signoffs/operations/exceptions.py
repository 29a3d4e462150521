"""Declaring an exception for an assessor who trained the candidate, approving it and refusing it."""

from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from certs.schemes.models import Scheme, SchemeIssue
from certs.signoffs import queries, rules
from certs.signoffs.models import AssessorException
from certs.signoffs.operations.locks import locked
from certs.signoffs.operations.refusals import NoException
from training.ledger.operations import write
from training.people.models import Person


@transaction.atomic
def declare_exception(
    *, candidate: Person, scheme_issue: SchemeIssue, assessor: Person, why: str, safeguard: str, at: datetime, on: date
) -> AssessorException:
    """Ask for leave to assess somebody one has trained; a second time gives the first one back. Raises NoException.

    After a refusal it is asked for anew.
    """
    candidate = locked(candidate)
    scheme: Scheme = scheme_issue.scheme
    known = queries.exception_for(assessor, candidate, scheme)
    if known is not None:
        return known
    facts = queries.case(assessor, candidate, scheme_issue, days=[on])
    found = rules.exception_objections(rules.objections(facts, on=on))
    if found:
        raise NoException(queries.case_sentences(found, facts, candidate))
    asked = AssessorException.objects.create(
        candidate=candidate, scheme=scheme, assessor=assessor, why=why, safeguard=safeguard, asked_at=at
    )
    about = {"exception": asked.pk, "person": candidate.pk, "scheme": scheme.pk}
    write(by=assessor.pk, act="exception declared", about=about, at=at)
    return asked


@transaction.atomic
def approve_exception(*, exception: AssessorException, by: Person, at: datetime, on: date) -> AssessorException:
    """Approve an exception as a third person; one approved already stays as it is. Raises NoException."""
    exception = _held(exception)
    if exception.approved_at is not None:
        return exception
    _check(exception, by, on=on)
    exception.approved_by, exception.approved_at = by, at
    exception.save(update_fields=["approved_by", "approved_at"])
    write(by=by.pk, act="exception approved", about=_about(exception), at=at)
    return exception


@transaction.atomic
def refuse_exception(
    *, exception: AssessorException, by: Person, reason: str, at: datetime, on: date
) -> AssessorException:
    """Refuse an exception as a third person; what they refused before stays as it is. Raises NoException."""
    exception = _held(exception)
    if exception.refused_by_id == by.pk:
        return exception
    _check(exception, by, on=on)
    if not reason.strip():
        raise NoException([_("Say why: the assessor and the candidate read it.")])
    exception.refused_by, exception.refused_at, exception.refusal = by, at, reason.strip()
    exception.save(update_fields=["refused_by", "refused_at", "refusal"])
    write(by=by.pk, act="exception refused", about=_about(exception), at=at)
    return exception


def _held(exception: AssessorException) -> AssessorException:
    # Two people may answer at once: the second one finds the answer of the first.
    return AssessorException.objects.select_for_update().get(pk=exception.pk)


def _check(exception: AssessorException, by: Person, *, on: date) -> None:
    by = Person.objects.select_related("employer").get(pk=by.pk)
    refused = queries.approval_sentences(exception, by, is_staff=queries.is_staff(by, on=on))
    if refused:
        raise NoException(refused)


def _about(exception: AssessorException) -> dict[str, int]:
    return {"exception": exception.pk, "person": exception.candidate_id, "assessor": exception.assessor_id}
