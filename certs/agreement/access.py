"""Who may see how far assessors agree, and who may mark a practical again."""

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _

from certs.agreement.queries import in_sample, practicals
from certs.signoffs.models import Signoff
from training.people.access import Viewer, people_seen_by
from training.people.rules import Role


def require_staff(viewer: Viewer) -> Viewer:
    """Return the viewer when they train or administer for the certification body, else raise PermissionDenied (403)."""
    viewer.require(Role.TRAINER, Role.ADMINISTRATOR)
    if not viewer.across:
        raise PermissionDenied(_("Practicals are marked again by the certification body."))
    return viewer


def practical_for(viewer: Viewer, pk: UUID) -> Signoff:
    """Load a practical that is to be marked twice; 403 for all but staff, 404 for any other."""
    require_staff(viewer)
    rows = practicals().filter(pk=pk, person__in=people_seen_by(viewer))
    signoff = rows.select_related("scheme_issue", "person", "sheet").first()
    if signoff is None or not in_sample([signoff.pk]):
        raise Http404
    return signoff
