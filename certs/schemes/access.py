"""Who may open a scheme, give permissions under it, or record training under it."""

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _

from certs.schemes import queries
from certs.schemes.models import Scheme
from certs.schemes.rules import Act
from training.people.access import Viewer
from training.people.rules import Role

STAFF = (Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR)


def scheme_for(viewer: Viewer, slug: str) -> Scheme:
    """Load a scheme for a member of staff; 403 for others, 404 where no issue of it was ever loaded."""
    viewer.require(*STAFF)
    scheme = Scheme.objects.filter(slug=slug, issues__isnull=False).distinct().first()
    if scheme is None:
        raise Http404
    return scheme


def may_grant(viewer: Viewer) -> bool:
    """Say whether this person gives permissions: an administrator who works across employers."""
    return viewer.across and viewer.has(Role.ADMINISTRATOR)


def grantable_scheme_for(viewer: Viewer, slug: str) -> Scheme:
    """Load a scheme to give a permission under; 403 for all but administrators who work across employers."""
    scheme = scheme_for(viewer, slug)
    if not may_grant(viewer):
        raise PermissionDenied(_("Only an administrator of the certification body gives permissions."))
    return scheme


def trains_under(viewer: Viewer, scheme: Scheme) -> bool:
    """Say whether this person holds 'may train' under a scheme today."""
    return viewer.has(Role.TRAINER) and queries.may(viewer.person, scheme, Act.TRAINS, viewer.on)


def trainable_scheme_for(viewer: Viewer, slug: str) -> Scheme:
    """Load a scheme to record training under; 403 for trainers who never held 'may train' under it."""
    scheme = scheme_for(viewer, slug)
    viewer.require(Role.TRAINER)
    # A trainer whose permission has ended still owes the record of what they gave before; the day decides.
    if not scheme.authorities.filter(person=viewer.person, act=Act.TRAINS).exists():
        raise PermissionDenied(_("You hold no permission to train under this scheme."))
    return scheme
