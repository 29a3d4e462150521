"""Files of the register, and the calendar feed."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from certs.board.forms import BoardForm, board_form
from certs.exports import access, code, operations, queries
from certs.visits.models import Visit
from certs.visits.queries import accepted_for
from training.people.access import Viewer, viewer_for
from training.tables.code import XLSX, csv_texts, xlsx


@require_safe
def register_csv(request: HttpRequest) -> HttpResponseBase:
    """Send the register as CSV; `bom=1` marks it as UTF-8 for spreadsheet programs."""
    viewer = viewer_for(request, at=timezone.now())
    people, form = access.people_on_board_of(viewer), board_form(request.GET, viewer)
    if not form.is_valid():
        return _back(request)
    lines = queries.register(people, form.asked())
    sent = csv_texts(queries.heads(), lines, bom=request.GET.get("bom") == "1")
    response = StreamingHttpResponse(sent, content_type="text/csv; charset=utf-8; header=present")
    response["Content-Disposition"] = f'attachment; filename="{_name(form)}.csv"'
    return response


@require_safe
def register_xlsx(request: HttpRequest) -> HttpResponseBase:
    """Send the register as a spreadsheet."""
    viewer = viewer_for(request, at=timezone.now())
    people, form = access.people_on_board_of(viewer), board_form(request.GET, viewer)
    if not form.is_valid():
        return _back(request)
    lines = queries.register_in_cells(people, form.asked())
    file = xlsx(_("Register"), queries.heads(), lines)
    return FileResponse(file, as_attachment=True, filename=f"{_name(form)}.xlsx", content_type=XLSX)


@require_safe
def calendar(request: HttpRequest) -> HttpResponse:
    """Show whether the signed-in person has a calendar feed."""
    viewer = viewer_for(request, at=timezone.now())
    context = {"feed": queries.feed_of(viewer.person), "many": access.sees_a_crew(viewer)}
    return render(request, "certs/exports/calendar.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def calendar_open(request: HttpRequest) -> HttpResponse:
    """Ask once where another address ends by it, then make the feed and show its address, this once."""
    viewer = viewer_for(request, at=timezone.now())
    if request.method != "POST":
        return _asked(request, viewer, "certs/exports/open_anew.html")
    secret = operations.open_feed(person=viewer.person, at=viewer.at)
    # Shown in the answer itself: a redirect would have to keep the secret somewhere.
    address = request.build_absolute_uri(reverse("exports:feed", args=[secret]))
    return render(request, "certs/exports/address.html", {"address": address})


@require_http_methods(["GET", "HEAD", "POST"])
def calendar_close(request: HttpRequest) -> HttpResponse:
    """Ask once, then end the feed."""
    viewer = viewer_for(request, at=timezone.now())
    if request.method != "POST":
        return _asked(request, viewer, "certs/exports/close.html")
    operations.close_feed(person=viewer.person, at=viewer.at)
    messages.success(request, _("The calendar feed is closed. Its address answers no more."))
    return redirect("exports:calendar")


def _asked(request: HttpRequest, viewer: Viewer, template: str) -> HttpResponse:
    """Ask whether the feed of the viewer is to end; where there is none there is nothing to ask."""
    return render(request, template) if queries.feed_of(viewer.person) else redirect("exports:calendar")


@login_not_required
@never_cache
@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """Send the days of cards to a calendar program that knows the address."""
    viewer = access.viewer_of_feed(secret, at=timezone.now())
    visits = accepted_for(viewer.person, employer=access.sees_a_crew(viewer))
    found = queries.events(access.days_shown_to(viewer), visits, own=viewer.person, on=viewer.on)
    return HttpResponse(code.calendar(_("Cards"), found, at=viewer.at), content_type="text/calendar; charset=utf-8")


@require_safe
def visit(request: HttpRequest, pk: int) -> HttpResponse:
    """Send one visit as a file for a calendar program."""
    viewer = viewer_for(request, at=timezone.now())
    found = queries.visit_events(Visit.objects.filter(pk=access.visit_for(viewer, pk).pk), on=viewer.on)
    sent = code.calendar(_("Trainer visit"), found, at=viewer.at)
    response = HttpResponse(sent, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="visit-{pk}.ics"'
    return response


def _back(request: HttpRequest) -> HttpResponse:
    """Return to the board, which says what could not be read: a file of something else would be believed."""
    return redirect(f"{reverse('board:grid')}?{request.GET.urlencode()}")


def _name(form: BoardForm) -> str:
    return f"register-{form.asked().on.isoformat()}"
