"""Photos of a practical: those of who sent its sheet, and of a signed one those that were there when it was signed."""

from uuid import UUID

from django.db.models import QuerySet

from certs.photos.models import Photo
from certs.signoffs.models import ReceivedSheet

# The kind under which photos of a sheet are kept; whoever sends one names the record, so that alone proves nothing.
KIND = "sheet"


def photos_of_sheet(received: ReceivedSheet) -> QuerySet[Photo]:
    """Return the photos that belong to a sheet, the first taken first."""
    found = Photo.objects.filter(kind=KIND, record=received.pk, made_by=received.made_by_id)
    signoff = getattr(received, "signoff", None)
    if signoff is not None:
        found = found.filter(kept_at__lte=signoff.signed_at)
    return found.order_by("taken_at", "kept_at", "pk")


def photos(received: ReceivedSheet | None) -> tuple[UUID, ...]:
    """Return the keys of the photos of a sheet; none where a record was signed without one."""
    return tuple(photos_of_sheet(received).values_list("pk", flat=True)) if received else ()
