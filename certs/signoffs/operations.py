"""Signing a practical, declaring and approving an exception, deciding. Every rule is asked here, at every door."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from certs.cards import operations as cards
from certs.cards.rules import Step, local_day
from certs.schemes import queries as schemes
from certs.schemes.models import Scheme, SchemeIssue
from certs.signoffs import queries, rules
from certs.signoffs.models import SLIP_WORDS, AssessorException, Decision, Signoff, TestBond
from certs.signoffs.queries import Worked
from certs.signoffs.rules import Bond, Sheet, Slip
from training.content.practicals import CheckSpec
from training.content.schemes import Decided
from training.ledger.operations import write
from training.people.models import Person
from training.questions.canonical import digest
from training.quizzes.queries import passed_sitting


class Refused(Exception):
    """The act is refused; `sentences` says why, for the person who asked."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__(" ".join(self.sentences))


class MayNotSign(Refused):
    """This person may not sign this practical."""


class BadSheet(Refused):
    """The sheet cannot be signed as it is; `slips` names what is wrong and the bond it is about (0 for none)."""

    def __init__(self, slips: Iterable[tuple[Slip, int]]) -> None:
        self.slips = tuple(slips)
        super().__init__(str(SLIP_WORDS[slip]) for slip, _position in self.slips)


class CannotCorrect(Refused):
    """The record named is not one that this sheet can replace."""


class NoException(Refused):
    """The exception cannot be declared or approved."""


class MayNotDecide(Refused):
    """This person may not decide about this practical."""


def _locked(person: Person) -> Person:
    """Lock a candidate: two people who act on one candidate at once take turns, and the second sees the first's act."""
    return Person.objects.select_for_update().get(pk=person.pk)


@transaction.atomic
def sign_off(
    *, candidate: Person, scheme_issue: SchemeIssue, assessor: Person, sheet: Sheet, at: datetime, on: date
) -> Signoff:
    """Sign a practical and, where the scheme says so and it was passed, issue the card with it.

    A sheet sent twice is one record. Raises MayNotSign, BadSheet, CannotCorrect, cards.CardRefused.
    """
    candidate, assessor = _locked(candidate), Person.objects.get(pk=assessor.pk)
    again = Signoff.objects.filter(pk=sheet.key).first()
    if again is not None:
        return _same(again, candidate, assessor)
    replaces = _replaced(candidate, scheme_issue, sheet)
    facts = queries.case(assessor, candidate, scheme_issue, days=[sheet.assessed_on, on], replaces=replaces)
    found = rules.objections(facts, on=sheet.assessed_on)
    if found:
        raise MayNotSign(queries.case_sentences(found, facts, candidate))
    worked = _judged(sheet, scheme_issue, on=on)
    signoff = _keep(candidate, assessor, scheme_issue, sheet, worked, replaces=replaces, at=at)
    wanted = schemes.spec(scheme_issue)
    if signoff.passed and wanted.decision is Decided.ON_SIGNING:
        _issue(signoff, by=assessor, at=at)
    elif not signoff.passed and replaces is not None:
        _suspend(replaces, by=assessor, at=at)
    return signoff


def _same(again: Signoff, candidate: Person, assessor: Person) -> Signoff:
    if (again.person_id, again.assessor_id) != (candidate.pk, assessor.pk):
        raise CannotCorrect([_("This sheet was used for another record. Open an empty one from the list.")])
    return again


def _replaced(candidate: Person, issue: SchemeIssue, sheet: Sheet) -> Signoff | None:
    if sheet.replaces is None:
        return None
    of_both = Signoff.objects.filter(person=candidate, scheme_issue__scheme=issue.scheme)
    old = of_both.filter(pk=sheet.replaces).select_related("sitting").first()
    if old is None or old.scheme_issue_id != issue.pk:
        raise CannotCorrect([_("There is no such record of this candidate to correct. Open it again from the list.")])
    if hasattr(old, "replaced_by") or of_both.filter(signed_at__gt=old.signed_at).exists():
        raise CannotCorrect([_("A later record replaces this one already. Open that one to correct it.")])
    return old


def _judged(sheet: Sheet, issue: SchemeIssue, *, on: date) -> Worked:
    bounds = queries.bounds_of(schemes.spec(issue))
    slips = rules.slips(sheet, wanted=bounds.bonds, on=on)
    if slips:
        raise BadSheet(slips)
    return queries.work_out(sheet.bonds, schemes.checks(issue), sheet.seen, bounds)


def _keep(
    candidate: Person,
    assessor: Person,
    issue: SchemeIssue,
    sheet: Sheet,
    worked: Worked,
    *,
    replaces: Signoff | None,
    at: datetime,
) -> Signoff:
    wanted = schemes.spec(issue)
    near = rules.too_near(schemes.last_training(assessor, candidate, issue.scheme), on=sheet.assessed_on)
    known = queries.exception_for(assessor, candidate, issue.scheme, replaces=sheet.replaces) if near else None
    signoff = Signoff.objects.create(
        id=sheet.key,
        person=candidate,
        scheme_issue=issue,
        assessor=assessor,
        sitting=replaces.sitting if replaces else passed_sitting(candidate, wanted.paper),
        exception=known,
        replaces=replaces,
        assessed_on=sheet.assessed_on,
        signed_at=at,
        place=sheet.place,
        air_c=sheet.air_c,
        leads_in=sheet.leads_in,
        meter=sheet.meter,
        calibrated_until=sheet.calibrated_until,
        checks=[_observed(check, sheet) for check in schemes.checks(issue)],
        remarks=sheet.remarks,
        limit_uohm=wanted.joint_limit,
        limit_source=wanted.joint_limit_source,
        passed=worked.outcome.passed,
    )
    TestBond.objects.bulk_create(
        TestBond(
            signoff=signoff,
            position=line.position,
            joint_uohm=line.finding.joint_uohm,
            good=line.finding.good,
            **_as_read(line.bond),
        )
        for line in worked.lines
    )
    about = {
        "signoff": str(signoff.pk),
        "person": candidate.pk,
        "scheme issue": issue.pk,
        "passed": signoff.passed,
        "exception": known and known.pk,
        "replaces": replaces and str(replaces.pk),
        "confirmed by the candidate": sheet.confirmed,
        "sheet": fingerprint(signoff),
    }
    write(by=assessor.pk, act="practical signed", about=about, at=at)
    return signoff


def _observed(check: CheckSpec, sheet: Sheet) -> dict[str, Any]:
    return {**check.as_json(), "seen": check.slug in sheet.seen}


def _as_read(bond: Bond) -> dict[str, Any]:
    names = ("pin_lot", "pack_v", "visual_good", "hammer_good", "forward_uv", "reversed_uv", "current_a")
    return {name: getattr(bond, name) for name in names}


def fingerprint(signoff: Signoff) -> str:
    """Return the SHA-256 of a signed record as stored, 64 hex digits: the ledger holds it under the signature."""
    signoff = queries.records().get(pk=signoff.pk)
    names = [field.attname for field in Signoff._meta.concrete_fields]
    bonds = [{name: str(value) for name, value in _as_read(bond).items()} for bond in queries.bonds_of(signoff)]
    head = {name: str(getattr(signoff, name)) for name in names if name != "checks"}
    return digest({**head, "checks": signoff.checks, "bonds": bonds})


def _issue(signoff: Signoff, *, by: Person, at: datetime) -> None:
    cards.issue(
        person=signoff.person,
        scheme_issue=signoff.scheme_issue,
        evidence_id=signoff.pk,
        passed_on=signoff.assessed_on,
        issued_by=by,
        at=at,
    )


def _suspend(replaced: Signoff, *, by: Person, at: datetime) -> None:
    """Suspend the card whose practical turns out not to have been passed; an administrator decides what follows."""
    card = getattr(replaced, "card", None)
    if card is None:
        return
    reason = _("The record of the practical behind this card was corrected: it was not passed.")
    try:
        cards.measure(card=card, step=Step.SUSPENDED, by=by, reason=reason, on=local_day(at, card.zone), at=at)
    except cards.MeasureRefused:
        # A card that is suspended, withdrawn, replaced or lapsed already gives no authority to take away.
        return


@transaction.atomic
def declare_exception(
    *, candidate: Person, scheme_issue: SchemeIssue, assessor: Person, why: str, safeguard: str, at: datetime, on: date
) -> AssessorException:
    """Ask for leave to assess somebody one has trained; a second time gives the first one back. Raises NoException."""
    candidate = _locked(candidate)
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
    exception = AssessorException.objects.select_for_update().get(pk=exception.pk)
    by = Person.objects.select_related("employer").get(pk=by.pk)
    if exception.approved_at is not None:
        return exception
    refused = queries.approval_sentences(exception, by, is_staff=queries.is_staff(by, on=on))
    if refused:
        raise NoException(refused)
    exception.approved_by, exception.approved_at = by, at
    exception.save(update_fields=["approved_by", "approved_at"])
    about = {"exception": exception.pk, "person": exception.candidate_id, "assessor": exception.assessor_id}
    write(by=by.pk, act="exception approved", about=about, at=at)
    return exception


@transaction.atomic
def decide(*, signoff: Signoff, by: Person, granted: bool, reasons: str, at: datetime, on: date) -> Decision:
    """Grant or refuse the card a passed practical waits for; granting issues it. Sent twice it is one decision.

    Raises MayNotDecide, cards.CardRefused.
    """
    _locked(signoff.person)
    signoff, by = queries.records().get(pk=signoff.pk), Person.objects.get(pk=by.pk)
    made = getattr(signoff, "decision", None)
    if made is not None and (made.by_id, made.granted) == (by.pk, granted):
        return made
    refused = queries.decision_sentences(by, signoff, queries.ties(by, on=on), on=on)
    if not reasons.strip():
        refused = (*refused, _("Write the reasons: they stay on the record."))
    if refused:
        raise MayNotDecide(refused)
    decision = Decision.objects.create(signoff=signoff, by=by, at=at, granted=granted, reasons=reasons)
    about = {"signoff": str(signoff.pk), "person": signoff.person_id, "granted": granted}
    write(by=by.pk, act="practical decided", about=about, at=at)
    if granted:
        _issue(signoff, by=by, at=at)
    return decision
