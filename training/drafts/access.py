"""Who may write questions: trainers and administrators of the certification body. They share every draft."""

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _

from training.bank.models import QuestionVersion
from training.drafts.models import Draft
from training.people.access import Viewer
from training.people.rules import Role
from training.questions.specs import Kind


def require_author(viewer: Viewer) -> Viewer:
    """Return the viewer when they train or administer for the certification body, else raise PermissionDenied (403)."""
    viewer.require(Role.TRAINER, Role.ADMINISTRATOR)
    if not viewer.across:
        raise PermissionDenied(_("Questions are written by the certification body."))
    return viewer


def draft_for(viewer: Viewer, pk: int) -> Draft:
    """Load a draft that is not used yet; 403 for those who do not write questions, 404 where there is none."""
    require_author(viewer)
    draft = Draft.objects.select_related("question").filter(pk=pk, used_as__isnull=True).first()
    if draft is None:
        raise Http404
    return draft


def version_for(viewer: Viewer, key: str, version: int) -> QuestionVersion:
    """Load a version of a calculation question; 403 for those who do not write questions, 404 where there is none."""
    require_author(viewer)
    rows = QuestionVersion.objects.select_related("question").filter(kind=Kind.CALCULATION)
    found = rows.filter(question__key=key, version=version).first()
    if found is None:
        raise Http404
    return found
