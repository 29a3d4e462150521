"""Receiving a photo from a phone, and sending it back to who may see it."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from certs.arrivals import rules as arrivals
from certs.arrivals.rules import Problem, Reply
from certs.photos import access, operations, rules
from certs.photos.forms import AboutForm
from certs.photos.models import FAULT_WORDS
from certs.photos.rules import Fault
from training.people.access import Viewer, viewer_for


@require_POST
def keep(request: HttpRequest, key: UUID) -> JsonResponse:
    """Keep the photo in the body of the request; what it is about stands in the address."""
    viewer = viewer_for(request, at=timezone.now())
    about = AboutForm(request.GET)
    # One byte past the limit tells a file that is too long from one that just fits.
    reply = _kept(viewer, key, about, request.read(rules.MOST_BYTES + 1))
    return JsonResponse(reply.body, status=reply.status)


def _kept(viewer: Viewer, key: UUID, about: AboutForm, raw: bytes) -> Reply:
    if not about.is_valid():
        return _refused(str(FAULT_WORDS[Fault.UNREADABLE]))
    told = about.cleaned_data
    if told["made_by"] != viewer.person.pk:
        return arrivals.conflict()
    try:
        _photo, new = operations.keep(
            key=key,
            made_by=viewer.person,
            kind=told["kind"],
            record=told["record"],
            raw=raw,
            taken_at=told["taken"],
            at=viewer.at,
        )
    except arrivals.Conflict:
        return arrivals.conflict()
    except operations.PhotoRefused as refusal:
        return _refused(str(refusal))
    return arrivals.kept(key, new=new)


def _refused(says: str) -> Reply:
    # A photo is listed on the phone as one, so its only field needs no name.
    return arrivals.refused([Problem("photo", "", says)])


@require_safe
def photo(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Send a photo as the picture it is, and as nothing else."""
    found = access.photo_for(viewer_for(request, at=timezone.now()), pk)
    headers = {
        "Content-Disposition": f'inline; filename="{found.pk}.jpg"',
        "X-Content-Type-Options": "nosniff",
        # It is opened by itself as well; there, too, it must run nothing.
        "Content-Security-Policy": "default-src 'none'; sandbox",
    }
    return HttpResponse(bytes(found.jpeg), content_type="image/jpeg", headers=headers)
