"""Who sees a photo, and who may put one up or take it away."""

from datetime import datetime
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _

from certs.portraits.models import Portrait
from certs.portraits.queries import signed
from training.people.access import Viewer, people_seen_by, person_for
from training.people.models import Person
from training.people.rules import Role


def may_picture(viewer: Viewer, person_id: int) -> bool:
    """Whether the viewer keeps this person's photo: their own, or as an administrator that of someone they may see."""
    return viewer.person.pk == person_id or viewer.has(Role.ADMINISTRATOR)


def person_pictured_by(viewer: Viewer, pk: int) -> Person:
    """Load a person whose photo the viewer keeps; 404 for a stranger, 403 where others keep it."""
    person = person_for(viewer, pk)
    if not may_picture(viewer, pk):
        raise PermissionDenied(_("A photo is put up and taken away by the person or by an administrator."))
    return person


def portrait_for(viewer: Viewer, key: UUID) -> Portrait:
    """Load the photo of somebody whose record, and so whose card, the viewer may open, else raise 404."""
    portrait = Portrait.objects.filter(pk=key, consent__person__in=people_seen_by(viewer)).first()
    if portrait is None:
        raise Http404
    return portrait


def portrait_at_check(address: str, *, at: datetime) -> Portrait:
    """Load the photo that an answer of the check has just named, for anyone who was given it, else raise 404."""
    portrait = signed(address, at=at)
    if portrait is None:
        raise Http404
    return portrait
