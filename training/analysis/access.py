"""Who may see how the questions do."""

from django.http import Http404

from training.people.access import Viewer
from training.people.rules import Role
from training.quizzes.models import PaperIssue


def require_reader(viewer: Viewer) -> Viewer:
    """Return the viewer when they train or administer, else raise PermissionDenied (403)."""
    return viewer.require(Role.TRAINER, Role.ADMINISTRATOR)


def paper_for(viewer: Viewer, slug: str) -> PaperIssue:
    """Load the latest issue of a paper, on offer or not; 403 without the role, 404 where there is none."""
    require_reader(viewer)
    issues = PaperIssue.objects.select_related("paper").filter(paper__slug=slug)
    issue = issues.order_by("version").last()
    if issue is None:
        raise Http404
    return issue
