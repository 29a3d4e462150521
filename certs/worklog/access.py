"""Who records bonds, and whose entries one reads."""

from django.db.models import QuerySet

from certs.cards.access import card_to_confirm
from training.people.access import Viewer, people_seen_by
from training.people.models import Person
from training.people.rules import Role

__all__ = ["card_to_confirm", "crew_member", "people_confirmed_by", "people_of"]


def crew_member(viewer: Viewer) -> Viewer:
    """Return the viewer when they may record bonds, else raise PermissionDenied (403)."""
    return viewer.require(Role.CREW)


def people_of(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose entries the viewer oversees, else raise PermissionDenied (403)."""
    return people_seen_by(viewer.require(Role.SUPERVISOR, Role.TRAINER, Role.ADMINISTRATOR))


def people_confirmed_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose work the viewer confirms: those of the same employer, never oneself."""
    if not viewer.has(Role.SUPERVISOR):
        return Person.objects.none()
    return Person.objects.filter(employer_id=viewer.person.employer_id).exclude(pk=viewer.person.pk)
