"""What is held on one person, and a copy of it."""

import base64
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from allauth.usersessions.models import UserSession
from axes.models import AccessAttempt, AccessFailureLog
from django.db import models
from django.db.models import Q, QuerySet
from django.utils.functional import Promise

from certs.cards.models import Card, Confirmation, Measure
from certs.complaints.models import Complaint
from certs.complaints.queries import steps_told
from certs.exports.models import CalendarFeed
from certs.jobs.models import Absence
from certs.notices.models import Notice
from certs.photos.models import Photo
from certs.portraits.models import Consent, Portrait
from certs.portraits.queries import printed
from certs.retention.queries.against import evidence_until
from certs.retention.queries.words import KIND_WORDS, WHY_WORDS, how_long
from certs.retention.rules import TERMS, Ends, Kind
from certs.schemes.models import Authority, TrainingAct
from certs.signoffs.models import AssessorException, Decision, DoAgain, ReceivedSheet, Signoff, TestBond
from certs.trail.queries import Row, rows
from certs.worklog.models import WorkEntry
from training.bridges.models import Bridge
from training.ledger.models import Entry
from training.mail.models import UnsentMail
from training.people.models import CrewMembership, Invitation, Person, RoleHeld
from training.practice.models import Practice
from training.procedures.models import HoldAnswer, Reading
from training.quizzes.models import Accommodation, Answer, PartMark, Retraining, Seen, Sitting
from training.refreshers.models import Drill, MailChoice, Reminder
from training.reviews.models import Appeal

SHOWN = 50
# What explains a draw, tells a right answer, or lets somebody in is in no copy; nor are bytes of pictures.
LEFT_OUT = {"seed", "sealed", "told", "asked", "keys", "digest", "password", "folded", "words", "sessions_ended"}


@dataclass(frozen=True, slots=True)
class Held:
    """A kind of record: how many there are, how long they are kept and why, and whether they can be erased."""

    words: str | Promise
    count: int | None
    how_long: str | Promise
    why: str | Promise
    ends: Ends


@dataclass(frozen=True, slots=True)
class Own:
    """What is held on somebody, by what becomes of it, until when evidence stays, and who acted on it."""

    kinds: list[Held]
    until: date | None
    acts: list[Row]


def own(person: Person) -> Own:
    """Return the page of what is held on a person."""
    return Own(held(person), evidence_until(person), looked(person))


def held(person: Person) -> list[Held]:
    """Return every kind, with the number of rows held on this person; none where that is not counted by person."""
    counted = {kind: sum(rows.count() for rows in found) for kind, found in rows_of(person).items()}
    return [
        Held(words, counted.get(kind), how_long(kind), WHY_WORDS[kind], TERMS[kind].ends)
        for kind, words in KIND_WORDS.items()
    ]


def looked(person: Person) -> list[Row]:
    """Return the last acts of others that are about this person or their records, newest first."""
    cards = list(Card.objects.filter(person=person).values_list("pk", flat=True))
    found = Q(about__person=person.pk) | Q(about__card__in=cards)
    for key, table in (("sitting", person.sittings), ("signoff", person.signoffs)):
        found |= Q(**{f"about__{key}__in": [str(pk) for pk in table.values_list("pk", flat=True)]})
    return rows(Entry.objects.filter(found).exclude(by=person.pk).order_by("-seq")[:SHOWN])


def copy(person: Person, *, at: datetime) -> dict[str, Any]:
    """Return everything held on a person as JSON knows it, pictures of the track apart."""
    made: dict[str, Any] = {"made at": at, "person": facts_of([person])[0] | {"employer": person.employer.name}}
    for kind, found in rows_of(person).items():
        for table in found:
            if table.model is not Person:
                name = str(table.model._meta.verbose_name_plural)
                made.setdefault(kind.value, {})[name] = facts_of(table.order_by("pk"))
    photo = printed([person.pk]).get(person.pk)
    return made | ({"photo on the card (JPEG, base64)": base64.b64encode(photo).decode()} if photo else {})


def facts_of(found: Iterable[models.Model]) -> list[dict[str, Any]]:
    """Return rows as a copy holds them: without pictures, and without what would tell answers or let somebody in."""
    return [
        {
            field.attname: field.value_from_object(row)
            for field in row._meta.concrete_fields
            if field.name not in LEFT_OUT and not isinstance(field, models.BinaryField)
        }
        for row in found
    ]


def rows_of(person: Person) -> dict[Kind, list[QuerySet]]:  # type: ignore[type-arg]
    """Return the rows that are held on a person, by kind and table."""
    mine = {"person": person}
    sheets = ReceivedSheet.objects.filter(candidate=person)
    work = WorkEntry.objects.filter(**mine)
    return {
        Kind.ACCOUNT: [
            Person.objects.filter(pk=person.pk),
            *(table.objects.filter(**mine) for table in (RoleHeld, CrewMembership, Authority, Consent, MailChoice)),
        ],
        Kind.CARDS: [
            Card.objects.filter(**mine),
            *(table.objects.filter(card__person=person) for table in (Confirmation, Measure)),
        ],
        Kind.PRACTICALS: [
            Signoff.objects.filter(**mine),
            sheets,
            *(table.objects.filter(signoff__person=person) for table in (TestBond, Decision)),
            DoAgain.objects.filter(sheet__candidate=person),
            *(table.objects.filter(candidate=person) for table in (AssessorException, TrainingAct)),
        ],
        Kind.PAPERS: [
            *(table.objects.filter(**mine) for table in (Sitting, Accommodation, Retraining)),
            Answer.objects.filter(item__sitting__person=person),
            PartMark.objects.filter(item__sitting__person=person),
            Appeal.objects.filter(candidate=person),
        ],
        Kind.WORK: [work],
        Kind.LEARNING: [table.objects.filter(**mine) for table in (Reading, HoldAnswer, Bridge, Practice, Drill)],
        Kind.SHEET_PHOTOS: [Photo.objects.filter(kind="sheet", record__in=sheets.values("pk"))],
        Kind.WORK_PHOTOS: [Photo.objects.filter(kind="bonds", record__in=work.values("pk"))],
        Kind.PORTRAIT: [Portrait.objects.filter(consent__person=person)],
        Kind.SEEN: [Seen.objects.filter(**mine)],
        Kind.MAILS: [Notice.objects.filter(**mine), Reminder.objects.filter(**mine)],
        Kind.UNSENT: [UnsentMail.objects.filter(**mine)],
        Kind.SESSIONS: [UserSession.objects.filter(user=person)],
        Kind.TRIES: [table.objects.filter(username=person.username) for table in (AccessAttempt, AccessFailureLog)],
        Kind.LINKS: [Invitation.objects.filter(**mine)],
        Kind.FEEDS: [CalendarFeed.objects.filter(**mine)],
        # What others wrote of a person is for those who handle it: the copy holds what the person reads on the page.
        Kind.COMPLAINTS: [Complaint.objects.filter(complainant=person), steps_told(person)],
        Kind.AWAY: [Absence.objects.filter(**mine)],
    }
