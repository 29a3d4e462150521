"""Filling in a sheet, on the site or on a phone, and its blank form on paper."""

import json
from uuid import UUID, uuid5

from django.contrib import messages
from django.core.exceptions import RequestDataTooBig, ValidationError
from django.db import DatabaseError
from django.forms import UUIDField
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.arrivals import rules as arrivals
from certs.arrivals.rules import Reply
from certs.photos import operations as photos
from certs.signoffs import access, operations, pdf, queries
from certs.signoffs.forms import SheetForm, count_of, fresh, grown, lay_out
from certs.signoffs.models import ReceivedSheet
from training.people.access import Viewer, viewer_for

# What a browser sends beside the sheet itself.
ASIDE = {"csrfmiddlewaretoken", "act", "photo"}
RETRY_AFTER_S = "5"


@require_http_methods(["GET", "POST"])
def sheet(request: HttpRequest, person: int, scheme: str) -> HttpResponse:
    """Fill in a sheet and work it out; sending it leads on to its signing."""
    viewer = viewer_for(request, at=timezone.now())
    sent = request.POST if request.method == "POST" else None
    page = access.sheet_for(viewer, person, scheme, replaces=_uuid(request.GET.get("replaces", "")), sent=sent)
    if sent is None:
        count = count_of(request.GET.get("bonds", ""), page=page)
        return _sheet(request, fresh(page, count=count, on_paper="paper" in request.GET))
    form, act = lay_out(sent, page=page), sent.get("act", "send")
    if page.why_not:
        return _sheet(request, form, status=403)
    larger = grown(form, act)
    if larger is not None or act == "work-out" or not form.is_valid():
        return _sheet(request, larger or form)
    return _send(request, viewer, form)


def _send(request: HttpRequest, viewer: Viewer, form: SheetForm) -> HttpResponse:
    key = form.cleaned_data["key"]
    fields = {name: values[-1] for name, values in request.POST.lists() if name not in ASIDE}
    # The moment the page was made, so that a form sent twice is the same bytes.
    told = form.cleaned_data["phone_time"] or viewer.at.isoformat()
    raw = json.dumps({"made_by": viewer.person.pk, "phone_time": told, "fields": fields}).encode()
    try:
        received, _new = operations.receive(
            pk=key, raw=raw, by=viewer.person, at=viewer.at, reader=access.reader(viewer, key)
        )
    except arrivals.Conflict:
        form.add_error(None, _("This sheet was used for another record. Open an empty one from the list."))
    except arrivals.Unreadable:
        form.add_error(None, _("This sheet came damaged. Open an empty one from the list and fill it in again."))
    except operations.Unfit as unfit:
        form.add_error(None, list(unfit.sentences))
    else:
        _keep_photos(request, viewer, received)
        return redirect("signoffs:filled", received.pk)
    return _sheet(request, form)


def _keep_photos(request: HttpRequest, viewer: Viewer, received: ReceivedSheet) -> None:
    """Keep the photos that came with a form; a phone's queue sends its own."""
    for file in request.FILES.getlist("photo"):
        raw = file.read()
        key = uuid5(received.pk, arrivals.fingerprint(raw))
        try:
            photos.keep(
                key=key, made_by=viewer.person, kind=queries.KIND, record=received.pk, raw=raw, taken_at=None,
                at=viewer.at,
            )  # fmt: skip
        except photos.PhotoRefused as refused:
            messages.error(request, _("%(name)s is not kept. %(why)s") % {"name": file.name, "why": refused})


def _sheet(request: HttpRequest, form: SheetForm, *, status: int = 200) -> HttpResponse:
    """Show the sheet, with why it may not be signed; what was typed stays."""
    context = {"page": form.page, "form": form, "record": _uuid(str(form["key"].value()))}
    return render(request, "certs/signoffs/sheet.html", context, status=status)


def _uuid(typed: str) -> UUID | None:
    """Return the number of a record from an address, or None for anything else."""
    try:
        found: UUID | None = UUIDField(required=False).clean(typed)
    except ValidationError:
        return None
    return found


@require_POST
def receive(request: HttpRequest, pk: UUID) -> JsonResponse:
    """Keep a sheet that a phone sends as raw JSON, and answer what it may do with its own copy."""
    viewer = access.sender(viewer_for(request, at=timezone.now()))
    try:
        reply = _reply(request, viewer, pk)
    except DatabaseError:
        # The phone keeps it and tries again.
        return JsonResponse({}, status=503, headers={"Retry-After": RETRY_AFTER_S})
    return JsonResponse(reply.body, status=reply.status)


def _reply(request: HttpRequest, viewer: Viewer, pk: UUID) -> Reply:
    damaged = arrivals.refused_whole(_("This sheet came damaged. Open it on this phone and send it again."))
    try:
        _received, new = operations.receive(
            pk=pk, raw=request.body, by=viewer.person, at=viewer.at, reader=access.reader(viewer, pk)
        )
    except arrivals.Conflict:
        return arrivals.conflict()
    except operations.Unfit as unfit:
        return arrivals.refused(unfit.problems)
    except (arrivals.Unreadable, RequestDataTooBig):
        return damaged
    return arrivals.kept(pk, new=new)


@require_safe
def blank(request: HttpRequest, person: int, scheme: str) -> HttpResponse:
    """Send the sheet of a candidate as a form on paper, for a day without a phone."""
    viewer = viewer_for(request, at=timezone.now())
    return _pdf(pdf.blank(access.sheet_for(viewer, person, scheme)), "sheet.pdf")


@require_safe
def paper(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Send a filled sheet on paper, with its signature where it has one."""
    viewer = viewer_for(request, at=timezone.now())
    found = queries.filled(access.open_sheet_for(viewer, pk), viewer.person, on=viewer.on)
    return _pdf(pdf.filled(found), f"sheet-{pk}.pdf")


@require_POST
def add_photo(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Add photos to a sheet that one sent, such as the scan of a sheet on paper."""
    viewer = viewer_for(request, at=timezone.now())
    received = access.own_sheet_for(viewer, pk)
    if not request.FILES.getlist("photo"):
        messages.error(request, _("Choose a photo first."))
    _keep_photos(request, viewer, received)
    return redirect("signoffs:filled", pk)


@require_safe
def photo(request: HttpRequest, pk: UUID, photo: UUID) -> HttpResponse:
    """Send a photo of a sheet, as the picture it is and as nothing else."""
    found = access.photo_for(viewer_for(request, at=timezone.now()), pk, photo)
    headers = {
        "Content-Disposition": f'inline; filename="{found.pk}.jpg"',
        "X-Content-Type-Options": "nosniff",
        "Content-Security-Policy": "default-src 'none'; sandbox",
    }
    return HttpResponse(bytes(found.jpeg), content_type="image/jpeg", headers=headers)


def _pdf(content: bytes, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)
