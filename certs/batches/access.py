"""Who may print many cards, whose, and who may open a batch."""

from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404

from certs.batches.models import Batch
from certs.cards.models import Card
from training.people.access import Viewer, people_seen_by
from training.people.models import Person
from training.people.rules import Role

PRINTERS = (Role.SUPERVISOR, Role.ADMINISTRATOR)


def people_printed_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose cards a supervisor or an administrator may print; 403 for others."""
    return people_seen_by(viewer.require(*PRINTERS))


def batch_for(viewer: Viewer, pk: UUID) -> Batch:
    """Load a batch that the viewer asked for, of cards they may still see; else 404, or 403 without the role."""
    people = people_printed_by(viewer)
    batch = Batch.objects.filter(pk=pk, by=viewer.person).first()
    if batch is None or Card.objects.filter(pk__in=batch.cards.values("card")).exclude(person__in=people).exists():
        raise Http404
    return batch
