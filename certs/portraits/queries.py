"""Reading consents and photos: what is printed, what the check shows, what the page of a person says."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.core.signing import BadSignature, Signer

from certs.portraits.models import Consent, Portrait
from certs.portraits.rules import SHOWN_FOR
from training.people.models import Person

# What the signature is for, so that nothing else signed here passes for it.
SALT = "certs.portraits.at-check"


@dataclass(frozen=True, slots=True)
class Page:
    """A person's photo, where there is one, and every consent on record, newest first."""

    person: Person
    consent: Consent | None
    portrait: UUID | None
    earlier: tuple[Consent, ...]


def page(person: Person) -> Page:
    """Gather what the page of a person's photo says, in two queries."""
    found = list(person.photo_consents.select_related("entered_by", "ended_by").order_by("-entered_at", "-pk"))
    current = next((one for one in found if one.ended_at is None), None)
    held = Portrait.objects.filter(consent=current).values_list("pk", flat=True).first() if current else None
    return Page(person, current, held, tuple(one for one in found if one.ended_at is not None))


def printed(person_ids: Collection[int]) -> dict[int, bytes]:
    """Return the photos to print on these people's cards, by person, in one query: only where the consent stands."""
    found = Portrait.objects.filter(consent__person__in=person_ids, consent__ended_at=None)
    return {person: bytes(jpeg) for person, jpeg in found.values_list("consent__person", "jpeg")}


def at_check(person_id: int, *, at: datetime) -> str:
    """Return the signed address of the photo that the check shows of a person for a while, or nothing."""
    found = Portrait.objects.filter(consent__person=person_id, consent__ended_at=None, consent__at_check=True)
    key = found.values_list("pk", flat=True).first()
    until = int((at + SHOWN_FOR).timestamp())
    return Signer(salt=SALT).sign_object([str(key), until]) if key else ""


def signed(address: str, *, at: datetime) -> Portrait | None:
    """Return the photo of a signed address, while that holds and the person still agrees to the check."""
    try:
        key, until = Signer(salt=SALT).unsign_object(address)
    except (BadSignature, ValueError):
        return None
    if at.timestamp() > until:
        return None
    return Portrait.objects.filter(pk=key, consent__ended_at=None, consent__at_check=True).first()
