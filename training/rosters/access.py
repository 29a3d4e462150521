"""Who brings rosters, and for which employers."""

from uuid import UUID

from django.core.validators import slug_re
from django.http import Http404

from training.people.access import Viewer, employers_seen_by
from training.people.models import Employer
from training.people.rules import Role
from training.rosters.models import Roster


def roster_for(viewer: Viewer, pk: UUID) -> Roster:
    """Load a roster of an employer whose people this viewer keeps; 403 without the role, 404 for another employer's."""
    viewer.require(Role.ADMINISTRATOR)
    rows = Roster.objects.select_related("employer", "brought_by", "applied_by")
    found = rows.filter(pk=pk, employer__in=employers_seen_by(viewer)).first()
    if found is None:
        raise Http404
    return found


def employer_for(viewer: Viewer, slug: str) -> Employer:
    """Load an employer whose people this viewer keeps; 403 without the role, 404 for another."""
    kept = employers_seen_by(viewer.require(Role.ADMINISTRATOR))
    # It comes from an address as it was typed: PostgreSQL cannot even look for a NUL.
    found = kept.filter(slug=slug).first() if slug_re.fullmatch(slug) else None
    if found is None:
        raise Http404
    return found
