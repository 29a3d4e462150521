"""Erasing what names a person. Numbers, marks and hashes stay, so that the chain and every count stay whole."""

import re
import secrets
from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from certs.agreement.models import SecondMarking
from certs.batches.operations import forget_photo
from certs.cards.models import Card, Confirmation, Measure
from certs.complaints.queries import written_about
from certs.exports.models import CalendarFeed
from certs.notices.models import Notice
from certs.photos.models import Photo
from certs.portraits.models import Consent, Portrait
from certs.retention.queries import PERSON_WORDS, against, evidence_until, is_erased
from certs.signoffs.models import AssessorException, Decision, DoAgain, ReceivedSheet, Signoff, TestBond
from certs.worklog.models import WorkEntry
from training.bank.models import Question, QuestionVersion
from training.keeping.operations import loosened
from training.ledger.models import Entry
from training.ledger.operations import write
from training.mail.models import UnsentMail
from training.people.models import Invitation, Person
from training.procedures.models import Module, Revision
from training.quizzes.models import Accommodation, Paper, PaperIssue, Remark
from training.refreshers.models import MailChoice, Reminder
from training.reviews.models import Appeal

# What stands where words about the person stood; some columns may not be empty.
GONE = "(erased)"
# Of the trade, not of people: a name that is also a word of a procedure stays there.
CONTENT = {Question, QuestionVersion, Module, Revision, Paper, PaperIssue}
OURS = {"training", "certs"}


class NotErased(ValidationError):
    """The person's name is not erased; the messages say what stands against it."""


def erase(*, person: Person, by: Person, reference: str, on: date, at: datetime) -> None:
    """Erase what names a person: after the term, or asked for, under the reference of the request. Raises NotErased."""
    if by.pk == person.pk:
        raise NotErased(_("Ask another administrator: nobody erases themself."))
    if is_erased(person):
        raise NotErased(_("The name of this person was erased already."))
    if found := against(person, on=on, at=at):
        raise NotErased(found)
    until = evidence_until(person)
    if not reference and until is not None and until >= on:
        raise NotErased(_("The term is not over: give the reference of the request that asks for it."))
    if any(word in reference.casefold() for word in person.name.casefold().split()):
        raise NotErased(_("Give a reference that does not name the person: it stays for good."))
    erase_all([person], by=by.pk, ground=reference or "term over", at=at)


def erase_all(people: Iterable[Person], *, by: int, ground: str, at: datetime) -> None:
    """Erase what names these people, in one transaction in which rows written once can be changed."""
    chosen = list(people)
    if not chosen:
        return
    with transaction.atomic(), loosened():
        for person in chosen:
            held = Person.objects.select_for_update().get(pk=person.pk)
            _delete(held)
            forget_photo(person=held, at=at)
            _blank(held)
            _sweep(held)
            _rename(held, on=at.date())
            write(by=by, act="person erased", about={"person": held.pk, "ground": ground}, at=at)


def _delete(person: Person) -> None:
    """Delete pictures, whatever lets the person in, and what other packages keep of them."""
    sheets, work = ReceivedSheet.objects.filter(candidate=person), WorkEntry.objects.filter(person=person)
    records = [*sheets.values_list("pk", flat=True), *work.values_list("pk", flat=True)]
    Photo.objects.filter(Q(record__in=records) | Q(made_by=person, kind="bonds")).delete()
    Portrait.objects.filter(consent__person=person).delete()
    for table in (CalendarFeed, Invitation, MailChoice, Notice, Reminder, UnsentMail):
        table.objects.filter(person=person).delete()
    for session in Session.objects.all():
        if session.get_decoded().get("_auth_user_id") == str(person.pk):
            session.delete()
    for model in apps.get_models():
        if model._meta.app_label in OURS:
            continue
        for field in model._meta.concrete_fields:
            if field.related_model is Person:
                model._base_manager.filter(**{field.name: person}).delete()
            elif field.name == "username":
                model._base_manager.filter(username=person.username).delete()


def _blank(person: Person) -> None:
    """Take out what was written about the person, and what they wrote themself."""
    gone: list[tuple[QuerySet[Any], tuple[str, ...]]] = [
        (Measure.objects.filter(card__person=person), ("reason",)),
        (Confirmation.objects.filter(card__person=person), ("evidence",)),
        (Signoff.objects.filter(person=person), ("remarks", "place")),
        (TestBond.objects.filter(signoff__person=person), ("why",)),
        (SecondMarking.objects.filter(candidate=person), ("remarks",)),
        (Decision.objects.filter(signoff__person=person), ("reasons",)),
        (DoAgain.objects.filter(sheet__candidate=person), ("reason",)),
        (AssessorException.objects.filter(candidate=person), ("why", "safeguard", "refusal")),
        (Accommodation.objects.filter(person=person), ("reason",)),
        (Appeal.objects.filter(candidate=person), ("reason", "answer")),
        *written_about(person),
        (Remark.objects.filter(sitting__person=person), ("reason",)),
        (Consent.objects.filter(person=person), ("how",)),
        (WorkEntry.objects.filter(person=person), ("place", "job")),
    ]
    for rows, columns in gone:
        for column in columns:
            rows.exclude(**{column: ""}).update(**{column: GONE})
    for sheet in ReceivedSheet.objects.filter(candidate=person):
        body, reading = _worded(sheet.body), _worded(sheet.reading)
        ReceivedSheet.objects.filter(pk=sheet.pk).update(body=body, reading=reading)
    Card.objects.filter(person=person).update(holder_name=_name(person))


WORDED = re.compile(r"remark|place|why|reason|note")


def _worded(value: Any) -> Any:
    """Return a sheet with what was written in words taken out; readings and choices stay."""
    if isinstance(value, dict):
        return {
            key: GONE if isinstance(one, str) and one and WORDED.search(key) else _worded(one)
            for key, one in value.items()
        }
    return [_worded(one) for one in value] if isinstance(value, list) else value


def _sweep(person: Person) -> None:
    """Put the number in the place of the name wherever else it stands: in rosters, reasons, plans.

    Where somebody else has the same name, words cannot tell the two apart: then only the address goes.
    """
    shared = Person.objects.filter(folded=person.folded).exclude(pk=person.pk).exists()
    within = [text for text in ("" if shared else person.name, person.email) if text]
    texts = re.compile("|".join(rf"(?<!\w){re.escape(text)}(?!\w)" for text in within) or r"(?!)", re.IGNORECASE)
    whole = {person.username, person.email, person.number} - {""}
    for model in apps.get_models():
        if model._meta.app_label in OURS and model not in CONTENT | {Entry, Person}:
            for field in model._meta.concrete_fields:
                if isinstance(field, models.JSONField):
                    _sweep_column(model, field.attname, texts, whole, _name(person))
                elif _is_text(field):
                    _sweep_column(model, field.attname, texts, set(), _name(person))


def _is_text(field: Any) -> bool:
    return isinstance(field, models.CharField | models.TextField) and not field.choices and not field.unique


def _sweep_column(model: type[models.Model], column: str, within: re.Pattern[str], whole: set[str], name: str) -> None:
    rows = model._base_manager.exclude(**{column: ""}).values_list("pk", column)
    for pk, value in rows.iterator(chunk_size=500):
        if (changed := _replaced(value, within, whole, name)) != value:
            model._base_manager.filter(pk=pk).update(**{column: changed})


def _replaced(value: Any, within: re.Pattern[str], whole: set[str], name: str) -> Any:
    if isinstance(value, str):
        return GONE if value in whole else within.sub(name, value)
    if isinstance(value, dict):
        return {key: _replaced(one, within, whole, name) for key, one in value.items()}
    return [_replaced(one, within, whole, name) for one in value] if isinstance(value, list) else value


def _rename(person: Person, *, on: date) -> None:
    """Take the names off the account, close it for good, and end its roles and crews."""
    person.name, person.username = _name(person), f"erased-{person.pk}-{secrets.token_hex(4)}"
    person.email = person.number = person.language = ""
    person.is_active = False
    person.set_unusable_password()
    person.save()
    for rows in (person.roles_held, person.crew_memberships, person.authorities):
        rows.filter(from_on__gt=on).delete()
        rows.filter(Q(until_on=None) | Q(until_on__gt=on)).update(until_on=on)


def _name(person: Person) -> str:
    return str(PERSON_WORDS % {"number": person.pk})
