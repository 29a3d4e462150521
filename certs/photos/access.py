"""Who may see a photo."""

from collections.abc import Callable
from uuid import UUID

from django.http import Http404

from certs.photos.models import Photo
from training.people.access import Viewer, people_seen_by

Sees = Callable[[Viewer, Photo], bool]


def sees_maker(viewer: Viewer, photo: Photo) -> bool:
    """Say whether the viewer may see who took it: oneself, a colleague one supervises, anyone across employers."""
    return people_seen_by(viewer).filter(pk=photo.made_by_id).exists()


def photo_for(viewer: Viewer, pk: UUID, *, sees: Sees = sees_maker) -> Photo:
    """Load a photo whose record the viewer may see by that rule, else raise 404."""
    photo = Photo.objects.filter(pk=pk).first()
    if photo is None or not sees(viewer, photo):
        raise Http404
    return photo
