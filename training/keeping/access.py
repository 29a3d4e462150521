"""Who looks after the installation."""

from training.people.access import Viewer
from training.people.rules import Role


def keeper(viewer: Viewer) -> Viewer:
    """Return the viewer where they administer the certification body, else raise PermissionDenied (403)."""
    viewer.require(Role.ADMINISTRATOR)
    if not viewer.across:
        viewer.require()
    return viewer
