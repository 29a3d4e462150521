"""Who may open the board, and whom it shows them."""

from django.db.models import QuerySet

from training.people.access import Viewer, people_seen_by
from training.people.models import Person
from training.people.rules import Role

STAFF = (Role.TRAINER, Role.SUPERVISOR, Role.ADMINISTRATOR)


def people_on_board_of(viewer: Viewer) -> QuerySet[Person]:
    """Return the people a member of staff may see on the board; 403 for others."""
    return people_seen_by(viewer.require(*STAFF))
