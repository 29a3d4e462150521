"""Who may confirm identities, and whose."""

from allauth.core import ratelimit
from django.db.models import QuerySet
from django.http import Http404, HttpRequest

from certs.invigilation import queries
from training.people.access import Viewer, is_their_password, people_seen_by
from training.people.models import Person
from training.people.rules import Role
from training.quizzes.models import Admission


def people_invigilated_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose identity the viewer may confirm, else raise PermissionDenied (403)."""
    return people_seen_by(viewer.require(Role.TRAINER))


def admission_for(viewer: Viewer, pk: int) -> Admission:
    """Load a waiting admission: 403 for all but trainers, 404 for people not seen and for one that is used."""
    people = people_invigilated_by(viewer)
    found = Admission.objects.filter(pk=pk, person__in=people, sitting__isnull=True).first()
    if found is None:
        raise Http404
    return found


def own_admission_for(viewer: Viewer, slug: str) -> Admission:
    """Load the viewer's own waiting admission to a paper, else raise 404."""
    found = queries.own(viewer.person, slug)
    if found is None:
        raise Http404
    return found


def signer(request: HttpRequest, viewer: Viewer, *, username: str, password: str) -> Person | None:
    """Return whose user name and password these are, or none; wrong ones are counted as at sign-in."""
    person = Person.objects.select_related("employer").filter(username=username, is_active=True).first()
    # Counted for the device's own person as well, so that nobody's device can be used to guess at many names.
    if not ratelimit.consume(request, action="reauthenticate", user=viewer.person):
        return None
    return person if person is not None and is_their_password(request, person, password) else None
