"""Recording bonds made at work."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import IntegrityError, transaction

from certs.arrivals.rules import Conflict, fingerprint
from certs.photos import operations as photos
from certs.schemes.models import Scheme
from certs.worklog import rules
from certs.worklog.models import SLIP_WORDS, WorkEntry
from training.ledger.operations import write
from training.people.models import Person
from training.questions.canonical import digest as digest_of


class EntryRefused(ValueError):
    """The entry cannot be right; `field` names what is to be put right, the message says how."""

    def __init__(self, field: str, sentence: str) -> None:
        self.field = field
        super().__init__(sentence)


def record(
    *,
    key: UUID,
    person: Person,
    scheme: Scheme,
    entry: Mapping[str, Any],
    digest: str,
    phone_time: datetime | None,
    on: date,
    at: datetime,
) -> tuple[WorkEntry, bool]:
    """Record bonds made; say whether the entry is new: the same bytes once more are one entry.

    `entry` holds the columns that were typed. Raises Conflict where the key stands for something else, EntryRefused.
    """
    known = _known(key, person, digest)
    if known is not None:
        return known, False
    wrong = rules.slip(entry["done_on"], on=on)
    if wrong is not None:
        raise EntryRefused("done_on", str(SLIP_WORDS[wrong]))
    try:
        with transaction.atomic():
            made = WorkEntry.objects.create(
                id=key, person=person, scheme=scheme, digest=digest, phone_time=phone_time, received_at=at, **entry
            )
            about = {"entry": str(key), "scheme": scheme.pk, "bonds": made.bonds, "bytes": digest}
            write(by=person.pk, act="bonds recorded", about=about, at=at)
    except IntegrityError:
        # The same record came twice at once and the other one was first.
        known = _known(key, person, digest)
        if known is None:
            raise
        return known, False
    return made, True


def record_form(
    *,
    key: UUID,
    person: Person,
    scheme: Scheme,
    entry: Mapping[str, Any],
    photo: bytes | None,
    on: date,
    at: datetime,
) -> WorkEntry:
    """Record bonds made that were typed on a plain form, with a photo; sent twice it is one entry.

    The photo goes first: one that is refused leaves no entry behind. Raises Conflict, EntryRefused.
    """
    if photo is not None:
        # Its key follows from what it is and where it belongs, so that the same form keeps it once.
        name = uuid5(key, fingerprint(photo))
        try:
            photos.keep(key=name, made_by=person, kind=rules.KIND, record=key, raw=photo, taken_at=None, at=at)
        except photos.PhotoRefused as refusal:
            raise EntryRefused("photo", str(refusal)) from None
    typed = digest_of({"scheme": scheme.pk, **{name: str(value) for name, value in entry.items()}})
    made, _new = record(key=key, person=person, scheme=scheme, entry=entry, digest=typed, phone_time=None, on=on, at=at)
    return made


def _known(key: UUID, person: Person, digest: str) -> WorkEntry | None:
    """Return the entry of that key. Raises Conflict where it is another one."""
    entry = WorkEntry.objects.filter(pk=key).first()
    if entry is not None and (entry.person_id, entry.digest) != (person.pk, digest):
        raise Conflict
    return entry
