"""Which papers and sittings a person may open."""

from uuid import UUID

from django.http import Http404

from training.people.access import Viewer, people_seen_by
from training.quizzes.models import PaperIssue, Sitting


def paper_for(slug: str) -> PaperIssue:
    """Load the latest issue of a paper on offer, which anyone signed in may sit; else raise 404."""
    issues = PaperIssue.objects.select_related("paper").filter(paper__slug=slug, paper__retired_at__isnull=True)
    issue = issues.order_by("version").last()
    if issue is None:
        raise Http404
    return issue


def own_sitting_for(viewer: Viewer, pk: UUID) -> Sitting:
    """Load a sitting of the viewer's own, open or handed in, else raise 404."""
    return _load(pk, person=viewer.person)


def sitting_for(viewer: Viewer, pk: UUID) -> Sitting:
    """Load a sitting the viewer may see, else raise 404.

    A live sitting is seen by its own candidate alone; a handed-in one also by those who work across employers.
    A supervisor sees what a person may do, not their marks (ISO/IEC 17024, confidentiality; from memory).
    """
    if not viewer.across:
        return own_sitting_for(viewer, pk)
    sitting = _load(pk, person__in=people_seen_by(viewer))
    if sitting.handed_in_at is None and sitting.person_id != viewer.person.pk:
        raise Http404
    return sitting


def _load(pk: UUID, **whose: object) -> Sitting:
    wanted = Sitting.objects.select_related("issue__paper", "person__employer")
    sitting = wanted.filter(pk=pk, **whose).first()
    if sitting is None:
        raise Http404
    return sitting
