"""Receiving a complaint: it gets its number and the day on which its answer is due."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from certs.cards.models import Card
from certs.complaints import rules
from certs.complaints.models import FLAW_WORDS, Complaint, Outsider
from certs.complaints.rules import About, Channel
from training.ledger.operations import NOBODY, write
from training.people.models import Person


class ComplaintRefused(ValueError):
    """The complaint cannot be received like that; the message says what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """From whom a complaint came that was not written here, how, how they are reached, and on which day it came."""

    name: str
    channel: Channel
    contact: str
    came_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A complaint as it was written; only its matter and the two texts are always there."""

    about: About
    what: str
    wanted: str
    card: Card | None = None
    of: Person | None = None
    who: str = ""
    happened_on: date | None = None
    place: str = ""
    reference: str = ""


@transaction.atomic
def receive(*, given: Given, outside: Outside | None = None, by: Person, on: date, at: datetime) -> Complaint:
    """Receive a complaint from within, or written down for somebody outside. Raises ComplaintRefused.

    The same sent twice on a day is one: buttons are pressed again where the signal is weak.
    """
    # One after the other, so that the second of two equal ones finds the first.
    Person.objects.select_for_update().get(pk=by.pk)
    facts: dict[str, Any] = {name: getattr(given, name) for name in given.__slots__}
    came_on = outside.came_on if outside else on
    if found := flaws_in(facts | {"came_on": came_on}, from_outside=outside is not None, by=by, on=on):
        raise ComplaintRefused(" ".join(sentence for _field, sentence in found))
    if given.about is About.WORK and given.card:
        facts["of"] = given.card.person
    facts |= {
        "complainant": None if outside else by,
        "channel": outside.channel if outside else "",
        "entered_by": by,
        "came_on": came_on,
        "due_on": came_on + timedelta(days=rules.ANSWER_DAYS),
    }
    twice = Complaint.objects.filter(**facts, received_at__date=at.date()).first()
    if twice is not None:
        return twice
    made = Complaint.objects.create(**facts, received_at=at)
    if outside:
        Outsider.objects.create(complaint=made, name=outside.name, contact=outside.contact)
    # Whoever keeps the ledger reads it, also who is complained of: who complained stands in the complaint alone.
    about = {"complaint": made.pk, "digest": _digest(made)}
    write(by=by.pk if outside else NOBODY, act="complaint received", about=about, at=at)
    return made


def flaws_in(facts: Mapping[str, Any], *, from_outside: bool, by: Person, on: date) -> list[tuple[str, str]]:
    """Return pairs of a field and what is to be put right in it; of what could not be read nothing more is said."""
    card, of = facts.get("card"), facts.get("of")
    found = rules.flaws(
        about=facts.get("about"),
        has_card="card" not in facts or card is not None,
        own_card=not from_outside and card is not None and card.person_id == by.pk,
        against_oneself=not from_outside and of == by,
        happened_on=facts.get("happened_on"),
        came_on=facts.get("came_on") or on,
        on=on,
    )
    return [(field, str(words)) for field, words in (FLAW_WORDS[one] for one in found)]


def _digest(made: Complaint) -> str:
    """Return the SHA-256 (hex) of who complained and in which words."""
    parts = (made.complainant_id, made.card_id, made.of_id, made.who, made.what, made.wanted)
    return hashlib.sha256("\x00".join(str(one) for one in parts).encode()).hexdigest()
