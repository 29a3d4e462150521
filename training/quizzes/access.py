"""Which papers and sittings a person may open, and who settles what comes before them."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404

from training.people.access import Viewer, people_seen_by
from training.people.models import Person
from training.people.rules import Role
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


def open_sitting_for(viewer: Viewer, pk: UUID, *, position: int) -> Sitting:
    """Load an open sitting of the viewer's own that has a question in a place, else raise 404."""
    sitting = own_sitting_for(viewer, pk)
    if sitting.handed_in_at is not None or not sitting.items.filter(position=position).exists():
        raise Http404
    return sitting


def position_asked(text: str) -> int | None:
    """Return the place that an address or a button names, or none."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 5 else None


def arranges(viewer: Viewer) -> bool:
    """Say whether the viewer settles extra time and records retraining: trainers and administrators."""
    return viewer.has(Role.TRAINER, Role.ADMINISTRATOR)


def require_member(viewer: Viewer) -> Viewer:
    """Return the viewer when they train or administer, else raise PermissionDenied (403)."""
    return viewer.require(Role.TRAINER, Role.ADMINISTRATOR)


def people_arranged_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people the viewer settles time for, never themself, else raise PermissionDenied (403)."""
    people = people_seen_by(require_member(viewer)).exclude(pk=viewer.person.pk)
    return people.filter(is_active=True).select_related("employer").order_by("name", "pk")


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
