"""Reading photos without their bytes."""

from collections import defaultdict
from collections.abc import Iterable
from uuid import UUID

from certs.photos.models import Photo


def photos_of(kind: str, records: Iterable[UUID]) -> dict[UUID, list[UUID]]:
    """Return the keys of the photos of each record, the first taken first, in one query."""
    found: dict[UUID, list[UUID]] = defaultdict(list)
    rows = Photo.objects.filter(kind=kind, record__in=list(records)).order_by("taken_at", "kept_at", "pk")
    for record, pk in rows.values_list("record", "pk"):
        found[record].append(pk)
    return found
