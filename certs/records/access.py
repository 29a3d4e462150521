"""Whose record a person may open, and what of it."""

from training.people.access import Viewer, person_for
from training.people.models import Person

__all__ = ["person_for", "sees_results"]


def sees_results(viewer: Viewer, person: Person) -> bool:
    """Say whether the viewer may open marked papers: one's own, or anyone's across employers.

    A supervisor sees standing and scope, not marks (ISO/IEC 17024:2012, 7.3, from memory).
    """
    return viewer.across or viewer.person.pk == person.pk
