"""Whose practice a page shows: one's own alone."""

from uuid import UUID

from django.http import Http404

from training.people.access import Viewer
from training.practice import queries
from training.practice.models import Practice


def practice_for(viewer: Viewer, pk: UUID) -> Practice:
    """Load a practice question of the viewer's own, else raise 404."""
    found = Practice.objects.select_related("person__employer").filter(pk=pk, person=viewer.person).first()
    if found is None:
        raise Http404
    return found


def subject_for(topic: str) -> str:
    """Return a subject that has practice questions, else raise 404."""
    if not queries.pool(topic):
        raise Http404
    return topic
