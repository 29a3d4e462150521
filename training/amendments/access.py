"""Who may amend procedures: trainers and administrators of the certification body. All read, its author writes."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _

from training.amendments import rules
from training.amendments.models import Amendment
from training.people.access import Viewer
from training.people.rules import Role
from training.procedures.models import Revision
from training.procedures.queries import in_force


def require_editor(viewer: Viewer) -> Viewer:
    """Return the viewer when they train or administer for the certification body, else raise PermissionDenied (403)."""
    viewer.require(Role.TRAINER, Role.ADMINISTRATOR)
    if not viewer.across:
        raise PermissionDenied(_("Procedures are amended by the certification body."))
    return viewer


def revision_for(viewer: Viewer, slug: str) -> Revision:
    """Load the revision in force of a module in use; 403 for those who amend nothing, 404 where there is none."""
    require_editor(viewer)
    revision = in_force().filter(module__slug=slug).first()
    if revision is None:
        raise Http404
    return revision


def amendment_for(viewer: Viewer, pk: int) -> Amendment:
    """Load an amendment to look at; 403 for those who amend nothing, 404 where there is none."""
    require_editor(viewer)
    found = Amendment.objects.select_related("module", "author", "base", "decided_by", "revision").filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def own_amendment_for(viewer: Viewer, pk: int) -> Amendment:
    """Load an amendment to change; 403 for everyone but its author."""
    amendment = amendment_for(viewer, pk)
    if amendment.author_id != viewer.person.pk:
        raise PermissionDenied(_("Only its author changes an amendment."))
    return amendment


def own_refused_for(viewer: Viewer, pk: int) -> Amendment:
    """Load a refused amendment to begin again from; 403 for everyone but its author, 404 where it is not refused."""
    amendment = own_amendment_for(viewer, pk)
    if amendment.state is not rules.State.REFUSED:
        raise Http404
    return amendment


def own_step_for(viewer: Viewer, pk: int, slug: str) -> tuple[Amendment, Mapping[str, Any]]:
    """Load an amendment to change and a step of it; 404 where it has no such step."""
    amendment = own_amendment_for(viewer, pk)
    step = rules.step_of(amendment.body, slug)
    if step is None:
        raise Http404
    return amendment, step
