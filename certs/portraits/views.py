"""The page of a person's photo for the card, and the photo itself."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.portraits import access, operations, queries
from certs.portraits.forms import form_for
from certs.portraits.models import Portrait
from training.people.access import viewer_for


@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a person's photo and the consents to it; a POST puts one up."""
    viewer = viewer_for(request, at=timezone.now())
    pictured = access.person_pictured_by(viewer, pk)
    own = pictured.pk == viewer.person.pk
    sent = (request.POST, request.FILES) if request.method == "POST" else (None, None)
    form = form_for(*sent, own=own, on=viewer.on)
    if form.is_valid():
        facts = {"agreed_on": viewer.on, "how": ""} | form.cleaned_data
        del facts["agreed"]  # a form without it is not valid
        try:
            operations.put_up(person=pictured, by=viewer.person, on=viewer.on, at=viewer.at, **facts)
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, _("The photo is kept. It is on the next print of the card."))
            return redirect("portraits:person", pk)
    context = {"page": queries.page(pictured), "form": form, "own": own}
    return render(request, "certs/portraits/person.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def take_away(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once, then delete a person's photo and end the consent."""
    viewer = viewer_for(request, at=timezone.now())
    pictured = access.person_pictured_by(viewer, pk)
    if request.method != "POST":
        return render(request, "certs/portraits/take_away.html", {"pictured": pictured})
    operations.take_away(person=pictured, by=viewer.person, at=viewer.at)
    messages.success(request, _("The photo is deleted. The next print of the card is without it."))
    return redirect("portraits:person", pk)


@require_POST
def keep_from_check(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a person's photo at the check no more."""
    viewer = viewer_for(request, at=timezone.now())
    operations.keep_from_check(person=access.person_pictured_by(viewer, pk), by=viewer.person, at=viewer.at)
    messages.success(request, _("The check shows the photo no more."))
    return redirect("portraits:person", pk)


@require_safe
def photo(request: HttpRequest, key: UUID) -> HttpResponse:
    """Send a photo to who may open that person's record."""
    return _picture(access.portrait_for(viewer_for(request, at=timezone.now()), key))


@login_not_required
@never_cache
@require_safe
def at_check(request: HttpRequest, address: str) -> HttpResponse:
    """Send the photo that an answer of the check has just named."""
    return _picture(access.portrait_at_check(address, at=timezone.now()))


def _picture(found: Portrait) -> HttpResponse:
    headers = {
        "Content-Disposition": 'inline; filename="photo.jpg"',
        "X-Content-Type-Options": "nosniff",
        # It is opened by itself as well; there, too, it must run nothing.
        "Content-Security-Policy": "default-src 'none'; sandbox",
    }
    return HttpResponse(bytes(found.jpeg), content_type="image/jpeg", headers=headers)
