"""Who may take a card along as a signed file."""

from django.core.exceptions import PermissionDenied
from django.utils.translation import gettext as _

from certs.cards.access import card_for
from certs.cards.models import Card
from training.people.access import Viewer


def own_card(viewer: Viewer, number: str) -> Card:
    """Load the viewer's own card; 404 when not theirs to see, 403 when somebody else's."""
    card = card_for(viewer, number)
    if card.person_id != viewer.person.pk:
        raise PermissionDenied(_("The signed file of a card is for its holder alone."))
    return card
