"""Who sees what is held on whom, and who erases."""

from training.keeping.access import keeper
from training.people.access import Viewer, person_for
from training.people.models import Person

__all__ = ["keeper", "person_to_erase"]


def person_to_erase(viewer: Viewer, pk: int) -> Person:
    """Load a person whose name an administrator of the body may erase; 403 without the role, 404 for nobody."""
    return person_for(keeper(viewer), pk)
