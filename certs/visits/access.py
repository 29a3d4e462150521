"""Who may ask for visits, see them, and answer: supervisors of the employer, administrators, and the trainer asked."""

from django.db.models import Q, QuerySet
from django.http import Http404

from certs.visits.models import Visit
from training.people.access import Viewer, employers_seen_by, people_seen_by
from training.people.models import Employer, Person
from training.people.rules import Role

ASKERS = (Role.SUPERVISOR, Role.ADMINISTRATOR)


def employers_asking_by(viewer: Viewer) -> QuerySet[Employer]:
    """Return the employers the viewer asks for; 403 without the role. The body itself asks for nobody."""
    return employers_seen_by(viewer.require(*ASKERS)).filter(is_body=False)


def people_visited(viewer: Viewer) -> QuerySet[Person]:
    """Return the people the viewer may ask a visit for."""
    return people_seen_by(viewer.require(*ASKERS)).filter(employer__is_body=False)


def visits_for(viewer: Viewer) -> QuerySet[Visit]:
    """Return the visits that the viewer asks for or is asked for; 403 for crew members."""
    viewer.require(Role.TRAINER, *ASKERS)
    seen = Q(trainer=viewer.person)
    if viewer.has(*ASKERS):
        seen |= Q(employer__in=employers_seen_by(viewer))
    return Visit.objects.filter(seen)


def visit_for(viewer: Viewer, pk: int) -> Visit:
    """Load a visit that the viewer may see; 403 for crew members, 404 for a visit of others."""
    visit = visits_for(viewer).filter(pk=pk).first()
    if visit is None:
        raise Http404
    return visit


def visit_asked_of(viewer: Viewer, pk: int) -> Visit:
    """Load a visit that the viewer is asked for; 403 for who is no trainer, 404 for a visit of others."""
    visit = Visit.objects.filter(trainer=viewer.require(Role.TRAINER).person, pk=pk).first()
    if visit is None:
        raise Http404
    return visit


def visit_asked_by(viewer: Viewer, pk: int) -> Visit:
    """Load a visit that the viewer may call off; 403 without the role, 404 for a visit of others."""
    visit = Visit.objects.filter(employer__in=employers_asking_by(viewer), pk=pk).first()
    if visit is None:
        raise Http404
    return visit
