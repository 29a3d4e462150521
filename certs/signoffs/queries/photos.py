"""Photos of a practical."""

from uuid import UUID

from certs.photos.queries import photos_of

# The kind under which photos of a sheet are kept; the record carries the sheet's number on.
KIND = "sheet"


def photos(record: UUID) -> tuple[UUID, ...]:
    """Return the photos of a sheet, and so of the record signed from it."""
    return tuple(photos_of(KIND, [record]).get(record, ()))
