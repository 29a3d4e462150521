"""Who may see how the questions do."""

from django.http import Http404

from training.bank.models import QuestionVersion
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


def version_for(viewer: Viewer, key: str, number: str) -> QuestionVersion:
    """Load the newest version of a question, or the one of that number; 403 without the role, 404 where there is none.

    A question is found whether or not the paper has asked it yet.
    """
    require_reader(viewer)
    versions = QuestionVersion.objects.select_related("question").filter(question__key=key)
    if number:
        is_number = number.isascii() and number.isdigit() and len(number) < 6
        versions = versions.filter(version=int(number)) if is_number else versions.none()
    version = versions.order_by("version").last()
    if version is None:
        raise Http404
    return version
