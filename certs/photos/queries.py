"""Reading photos without their bytes."""

from collections import defaultdict
from collections.abc import Mapping
from uuid import UUID

from certs.photos.models import Photo


def photos_of(kind: str, makers: Mapping[UUID, int]) -> dict[UUID, list[UUID]]:
    """Return the keys of the photos of each record, the first taken first, in one query.

    `makers` gives each record with the person who made it: whoever sends a photo names the record, so only that
    person's photos belong to it.
    """
    found: dict[UUID, list[UUID]] = defaultdict(list)
    rows = Photo.objects.filter(kind=kind, record__in=list(makers)).order_by("taken_at", "kept_at", "pk")
    for record, made_by, pk in rows.values_list("record", "made_by", "pk"):
        if makers[record] == made_by:
            found[record].append(pk)
    return found
