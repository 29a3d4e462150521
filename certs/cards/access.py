"""Who may open which card, and who may act on it."""

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _

from certs.cards.models import Card
from certs.cards.queries import card_numbered
from certs.cards.rules import local_day, may_stand_in, standing
from training.people.access import Viewer, people_seen_by
from training.people.rules import Role


def card_for(viewer: Viewer, number: str) -> Card:
    """Load a card of somebody the viewer may see, else raise 404."""
    card = card_numbered(number)
    if card is None or not people_seen_by(viewer).filter(pk=card.person_id).exists():
        raise Http404
    return card


def may_confirm(viewer: Viewer, card: Card) -> bool:
    """Whether the viewer supervises the holder's work: the same employer, and not their own card."""
    same = viewer.person.employer_id == card.person.employer_id
    return same and viewer.has(Role.SUPERVISOR) and viewer.person.pk != card.person_id


def may_measure(viewer: Viewer, card: Card) -> bool:
    """Whether the viewer administers cards across employers, and this is not their own."""
    return viewer.across and viewer.has(Role.ADMINISTRATOR) and viewer.person.pk != card.person_id


def may_replace(viewer: Viewer, card: Card) -> bool:
    """Whether the viewer may put another card in place of this one: as for a measure, while it is in force."""
    on = local_day(viewer.at, card.zone)
    return may_measure(viewer, card) and may_stand_in(standing(card.facts(), on=on).standing)


def card_to_confirm(viewer: Viewer, number: str) -> Card:
    """Load a card whose work the viewer may confirm; 404 when not theirs to see, 403 when not theirs to confirm."""
    card = card_for(viewer, number)
    if not may_confirm(viewer, card):
        raise PermissionDenied(_("Work is confirmed by a supervisor of the holder's employer."))
    return card


def card_to_measure(viewer: Viewer, number: str) -> Card:
    """Load a card on which the viewer may take a measure; 404 or 403 as above."""
    card = card_for(viewer, number)
    if not may_measure(viewer, card):
        raise PermissionDenied(_("Cards are suspended, reinstated and withdrawn by an administrator of the body."))
    return card
