"""Declared exceptions that wait for a third person, those that were refused, and who needs none."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet
from django.utils.formats import date_format
from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from certs.cards.rules import local_day
from certs.schemes import queries as schemes
from certs.schemes.models import Authority, Scheme, TrainingAct
from certs.schemes.rules import Act
from certs.signoffs import rules
from certs.signoffs.models import AssessorException
from certs.signoffs.queries.persons import approval_sentences, is_staff
from training.people.models import Person

# More names than anybody asks one after another.
MOST_NAMED = 6
# Some people, by number, and a scheme.
Group = tuple[frozenset[int], int]


@dataclass(frozen=True, slots=True)
class Asked:
    """A declared exception that waits for a third person; `others` says who may assess without one."""

    pk: int
    candidate_id: int
    candidate: str
    assessor: str
    scheme: str
    why: str
    safeguard: str
    asked_on: date
    others: str
    why_not: tuple[str, ...]


def open_exceptions() -> QuerySet[AssessorException]:
    """Return the exceptions that are neither approved nor refused."""
    return AssessorException.objects.filter(approved_at=None, refused_at=None)


def asked(exceptions: QuerySet[AssessorException], viewer: Person, *, on: date) -> list[Asked]:
    """Return exceptions for whoever may answer them, the first asked first: six queries, one where there are none."""
    rows = list(exceptions.select_related("candidate", "assessor__employer", "scheme").order_by("asked_at", "pk"))
    if not rows:
        return []
    third = is_staff(viewer, on=on)
    titles = {issue.scheme_id: issue.title for issue in schemes.current_issues()}
    free = free_to_assess([_group(row.candidate, row.scheme) for row in rows], on=on)
    return [
        Asked(
            pk=row.pk,
            candidate_id=row.candidate_id,
            candidate=row.candidate.name,
            assessor=row.assessor.name,
            scheme=titles.get(row.scheme_id, row.scheme.slug),
            why=row.why,
            safeguard=row.safeguard,
            asked_on=local_day(row.asked_at, row.assessor.employer.zone),
            others=_in_words(free[_group(row.candidate, row.scheme)], row.candidate),
            why_not=approval_sentences(row, viewer, is_staff=third),
        )
        for row in rows
    ]


def one_asked(exception: AssessorException, viewer: Person, *, on: date) -> Asked:
    """Return one exception for whoever may answer it."""
    return asked(AssessorException.objects.filter(pk=exception.pk), viewer, on=on)[0]


def _group(candidate: Person, scheme: Scheme) -> Group:
    return frozenset([candidate.pk]), scheme.pk


def free_to_assess(groups: Iterable[Group], *, on: date) -> dict[Group, tuple[Person, ...]]:
    """Return by group who may assess all of its people on a day without an exception, by name: two queries in all.

    That is who holds 'may assess' that day, is none of them, and trained none of them within 24 months.
    """
    groups = list(groups)
    acts = {"scheme__in": {scheme for _people, scheme in groups}}
    held = Authority.objects.in_force_on(on).filter(act=Act.ASSESSES, person__is_active=True, **acts)
    found = list(held.select_related("person").order_by("person__name", "person"))
    given = TrainingAct.objects.filter(candidate__in=frozenset().union(*(people for people, _scheme in groups)), **acts)
    ties = {
        (trainer, candidate, scheme)
        for trainer, candidate, scheme, ended_on in given.values_list("trainer", "candidate", "scheme", "ended_on")
        if rules.too_near(ended_on, on=on)
    }
    return {
        (people, scheme): tuple(
            dict.fromkeys(
                one.person
                for one in found
                if one.scheme_id == scheme
                and one.person_id not in people
                and not any((one.person_id, candidate, scheme) in ties for candidate in people)
            )
        )
        for people, scheme in groups
    }


def who_else(candidate: Person, scheme: Scheme, *, on: date) -> str:
    """Say who may assess somebody under a scheme on a day without an exception."""
    group = _group(candidate, scheme)
    return _in_words(free_to_assess([group], on=on)[group], candidate)


def _in_words(free: Sequence[Person], candidate: Person) -> str:
    if not free:
        return _("Nobody else on record may assess %(candidate)s without an exception.") % {"candidate": candidate.name}
    names, more = [one.name for one in free[:MOST_NAMED]], len(free) - MOST_NAMED
    if more > 0:
        names.append(ngettext("%(number)d other", "%(number)d others", more) % {"number": more})
    facts = {"names": get_text_list(names, _("and")), "candidate": candidate.name}
    return _("%(names)s may assess %(candidate)s without an exception.") % facts


def refusals(assessor: Person, candidate: Person | None = None) -> dict[tuple[int, int], str]:
    """Say by candidate and scheme what was answered to this assessor where the last exception was refused."""
    rows = AssessorException.objects.filter(assessor=assessor).select_related("refused_by")
    if candidate is not None:
        rows = rows.filter(candidate=candidate)
    last = {(row.candidate_id, row.scheme_id): row for row in rows.order_by("asked_at", "pk")}
    return {key: _refusal(row, assessor) for key, row in last.items() if row.refused_by is not None}


def _refusal(row: AssessorException, assessor: Person) -> str:
    facts = {
        "name": row.refused_by.name,
        "day": date_format(local_day(row.refused_at, assessor.employer.zone)),
        "reason": row.refusal,
    }
    return _("%(name)s refused your exception on %(day)s: %(reason)s") % facts
