"""Who may open corrections and appeals."""

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _

from training.bank.models import Correction, QuestionVersion
from training.people.access import Viewer
from training.people.rules import Role
from training.quizzes.access import own_sitting_for
from training.quizzes.models import Sitting
from training.reviews.models import Appeal
from training.reviews.queries.appeals import appeals


def require_staff(viewer: Viewer) -> Viewer:
    """Return the viewer when they train or administer for the certification body, else raise PermissionDenied (403)."""
    viewer.require(Role.TRAINER, Role.ADMINISTRATOR)
    if not viewer.across:
        raise PermissionDenied(_("Keys are corrected and appeals answered by the certification body."))
    return viewer


def version_for(viewer: Viewer, key: str, version: int) -> QuestionVersion:
    """Load a version of a question to correct; 403 for those who correct none, 404 where there is none."""
    require_staff(viewer)
    found = QuestionVersion.objects.select_related("question").filter(question__key=key, version=version).first()
    if found is None:
        raise Http404
    return found


def correction_for(viewer: Viewer, pk: int) -> Correction:
    """Load a correction; 403 for those who correct none, 404 where there is none."""
    require_staff(viewer)
    rows = Correction.objects.select_related("question_version__question", "proposed_by", "decided_by")
    found = rows.filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def own_paper_for(viewer: Viewer, pk: UUID) -> Sitting:
    """Load a handed-in sitting of the viewer's own, else raise 404."""
    sitting = own_sitting_for(viewer, pk)
    if sitting.handed_in_at is None:
        raise Http404
    return sitting


def answers(viewer: Viewer) -> bool:
    """Say whether the viewer is among those who answer appeals."""
    return viewer.across and viewer.has(Role.TRAINER, Role.ADMINISTRATOR)


def appeal_for(viewer: Viewer, pk: int) -> Appeal:
    """Load an appeal of the viewer's own, or any for those who answer them; else raise 404."""
    rows = appeals() if answers(viewer) else appeals().filter(candidate=viewer.person)
    found = rows.filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


def appeal_to_answer_for(viewer: Viewer, pk: int) -> Appeal:
    """Load an appeal to take or answer; 403 for those who answer none, 404 where there is none."""
    require_staff(viewer)
    return appeal_for(viewer, pk)
