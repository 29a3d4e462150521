"""Putting up the photo of a holder with their consent, and ending it. The ledger hears of the consent, never the photo.

Prints that are kept with the photo go with it: rooms further up that keep any are named in `PHOTOS_PRINTED_BY`.
"""

from datetime import date, datetime

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.module_loading import import_string
from django.utils.translation import gettext_lazy as _

from certs.photos import code
from certs.photos.models import FAULT_WORDS
from certs.portraits.models import Consent, Portrait
from training.ledger.operations import write
from training.people.models import Person


class PortraitRefused(ValidationError):
    """The photo or the consent is not taken; the message stands beside the field at fault."""


def put_up(
    *, person: Person, by: Person, photo: bytes, agreed_on: date, how: str, at_check: bool, on: date, at: datetime
) -> Portrait:
    """Put up a person's photo in place of the one there was, if any, on a consent of a day. Raises PortraitRefused."""
    if agreed_on > on:
        raise PortraitRefused({"agreed_on": _("Give the day on which the person agreed: it cannot be still to come.")})
    # Before the transaction: drawing takes a while, and on SQLite it would keep every other writer waiting.
    try:
        jpeg = code.portrait(photo)
    except code.NotAPhoto as found:
        raise PortraitRefused({"photo": FAULT_WORDS[found.fault]}) from None
    facts = {"agreed_on": agreed_on, "how": how, "at_check": at_check, "entered_by": by, "entered_at": at}
    with transaction.atomic():
        _end(person, by=by, at=at, act="card photo replaced")
        consent = Consent(person=person, **facts)
        consent.full_clean()
        consent.save()
        made = Portrait.objects.create(consent=consent, jpeg=jpeg)
        _enter(consent, by=by, act="card photo consent given", at=at)
    return made


@transaction.atomic
def take_away(*, person: Person, by: Person, at: datetime) -> None:
    """End a person's consent and delete the photo: the next print of the card is without. Twice changes nothing."""
    _end(person, by=by, at=at, act="card photo consent withdrawn")


@transaction.atomic
def keep_from_check(*, person: Person, by: Person, at: datetime) -> None:
    """Take back that the photo is shown at the check; it stays on the card."""
    consent = _open(person)
    if consent is not None and consent.at_check:
        consent.at_check = False
        consent.save(update_fields=["at_check"])
        _enter(consent, by=by, act="card photo kept from the check", at=at)


def _open(person: Person) -> Consent | None:
    Person.objects.select_for_update().get(pk=person.pk)
    return person.photo_consents.filter(ended_at=None).first()


def _end(person: Person, *, by: Person, at: datetime, act: str) -> None:
    consent = _open(person)
    if consent is None:
        return
    consent.ended_by, consent.ended_at = by, at
    consent.save(update_fields=["ended_by", "ended_at"])
    Portrait.objects.filter(consent=consent).delete()
    for path in settings.PHOTOS_PRINTED_BY:
        import_string(path)(person=person, at=at)
    _enter(consent, by=by, act=act, at=at)


def _enter(consent: Consent, *, by: Person, act: str, at: datetime) -> None:
    about = {"person": consent.person_id, "consent": consent.pk, "at_check": consent.at_check}
    write(by=by.pk, act=act, about=about, at=at)
