"""Keeping a photo."""

from datetime import datetime
from uuid import UUID

from django.db import IntegrityError, transaction

from certs.arrivals.rules import Conflict, fingerprint
from certs.photos import code, rules
from certs.photos.models import FAULT_WORDS, Photo
from certs.photos.rules import Fault
from training.ledger.operations import write
from training.people.models import Person


class PhotoRefused(ValueError):
    """The file is not taken; the message is a sentence for who sent it."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(FAULT_WORDS[fault]))


def keep(
    *, key: UUID, made_by: Person, kind: str, record: UUID, raw: bytes, taken_at: datetime | None, at: datetime
) -> tuple[Photo, bool]:
    """Keep a photo made anew from the bytes received; say whether it is new: the same bytes once more are one photo.

    Raises Conflict where the key stands for something else, PhotoRefused for what is no photo.
    """
    facts = {"made_by": made_by, "kind": kind, "record": record, "digest": fingerprint(raw)}
    known = _known(key, facts)
    if known is not None:
        return known, False
    # Before the transaction: drawing takes a while, and on SQLite it would keep every other writer waiting.
    jpeg = _anew(raw)
    try:
        with transaction.atomic():
            if Photo.objects.filter(kind=kind, record=record, made_by=made_by).count() >= rules.MOST_OF_ONE:
                raise PhotoRefused(Fault.TOO_MANY)
            photo = Photo.objects.create(id=key, jpeg=jpeg, taken_at=taken_at, kept_at=at, **facts)
            about = {"photo": str(key), "kind": kind, "record": str(record), "bytes": facts["digest"]}
            write(by=made_by.pk, act="photo kept", about=about, at=at)
    except IntegrityError:
        # The same photo came twice at once and the other one was first.
        known = _known(key, facts)
        if known is None:
            raise
        return known, False
    return photo, True


def _known(key: UUID, facts: dict[str, object]) -> Photo | None:
    """Return the photo of that key. Raises Conflict where it is another one."""
    photo = Photo.objects.defer("jpeg").select_related("made_by").filter(pk=key).first()
    if photo is not None and any(getattr(photo, name) != value for name, value in facts.items()):
        raise Conflict
    return photo


def _anew(raw: bytes) -> bytes:
    try:
        return code.anew(raw)
    except code.NotAPhoto as found:
        raise PhotoRefused(found.fault) from None
