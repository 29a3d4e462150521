"""Signing a practical. Every rule is asked here, at every door."""

from dataclasses import fields
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from certs.cards import operations as cards
from certs.cards.rules import Step, local_day
from certs.schemes import queries as schemes
from certs.schemes.models import SchemeIssue
from certs.signoffs import queries, rules
from certs.signoffs.models import ReceivedSheet, Signoff, TestBond
from certs.signoffs.operations.locks import locked
from certs.signoffs.operations.refusals import BadSheet, CannotCorrect, MayNotSign
from certs.signoffs.queries import Worked
from certs.signoffs.rules import Bond, Confirmed, Sheet
from training.content.practicals import CheckSpec
from training.content.schemes import Decided
from training.ledger.operations import write
from training.people.models import Person
from training.questions.canonical import digest
from training.quizzes.queries import passed_sitting


@transaction.atomic
def sign_off(
    *,
    candidate: Person,
    scheme_issue: SchemeIssue,
    assessor: Person,
    sheet: Sheet,
    at: datetime,
    on: date,
    how: Confirmed = Confirmed.BOX,
    received: ReceivedSheet | None = None,
) -> Signoff:
    """Sign a practical and, where the scheme says so and it was passed, issue the card with it.

    `how` says how the candidate confirmed it, `received` is the sheet as a device sent it. A sheet sent twice is one
    record. Raises MayNotSign, BadSheet, CannotCorrect, cards.CardRefused.
    """
    candidate, assessor = locked(candidate), Person.objects.get(pk=assessor.pk)
    again = Signoff.objects.filter(pk=sheet.key).first()
    if again is not None:
        return _same(again, candidate, assessor)
    replaces = _replaced(candidate, scheme_issue, sheet)
    facts = queries.case(assessor, candidate, scheme_issue, days=[sheet.assessed_on, on], replaces=replaces)
    found = rules.objections(facts, on=sheet.assessed_on)
    if found:
        raise MayNotSign(queries.case_sentences(found, facts, candidate))
    worked = _judged(sheet, scheme_issue, on=on)
    signoff = _keep(
        candidate, assessor, scheme_issue, sheet, worked, replaces=replaces, how=how, received=received, at=at
    )
    wanted = schemes.spec(scheme_issue)
    if signoff.passed and wanted.decision is Decided.ON_SIGNING:
        issue_card(signoff, by=assessor, at=at)
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
    how: Confirmed,
    received: ReceivedSheet | None,
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
        sheet=received,
        assessed_on=sheet.assessed_on,
        signed_at=at,
        place=sheet.place,
        air_c=sheet.air_c,
        leads_in=sheet.leads_in,
        meter=sheet.meter,
        calibrated_until=sheet.calibrated_until,
        instruments=[rules.instrument_json(one) for one in sheet.instruments],
        started=sheet.started,
        stopped=sheet.stopped,
        pauses=[rules.pause_json(one) for one in sheet.pauses],
        confirmed=how,
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
        "confirmed by the candidate": how.value,
        "received": received and received.digest,
        "sheet": fingerprint(signoff),
    }
    write(by=assessor.pk, act="practical signed", about=about, at=at)
    return signoff


def _observed(check: CheckSpec, sheet: Sheet) -> dict[str, Any]:
    return {**check.as_json(), "seen": check.slug in sheet.seen}


def _as_read(bond: Bond) -> dict[str, Any]:
    read = {field.name: getattr(bond, field.name) for field in fields(Bond)}
    return read | {"looks": sorted(look.value for look in bond.looks), "again": bond.again.value}


def fingerprint(signoff: Signoff) -> str:
    """Return the SHA-256 of a signed record as stored, 64 hex digits: the ledger holds it under the signature."""
    signoff = queries.records().get(pk=signoff.pk)
    names = [field.attname for field in Signoff._meta.concrete_fields]
    bonds = [{name: str(value) for name, value in _as_read(bond).items()} for bond in queries.bonds_of(signoff)]
    head = {name: str(getattr(signoff, name)) for name in names if name != "checks"}
    return digest({**head, "checks": signoff.checks, "bonds": bonds})


def issue_card(signoff: Signoff, *, by: Person, at: datetime) -> None:
    """Issue the card that a passed practical leads to. Raises cards.CardRefused."""
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
    card = replaced.cards.filter(closed_at=None).first()
    if card is None:
        return
    reason = _("The record of the practical behind this card was corrected: it was not passed.")
    try:
        cards.measure(card=card, step=Step.SUSPENDED, by=by, reason=reason, on=local_day(at, card.zone), at=at)
    except cards.MeasureRefused:
        # A card that is suspended, withdrawn, replaced or lapsed already gives no authority to take away.
        return
