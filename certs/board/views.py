"""The page of the board, and its day sheet."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from certs.board import access, pdf, queries
from certs.board.forms import BoardForm, board_form
from certs.board.queries.sheets import TooMany
from training.people.access import viewer_for


@require_safe
def grid(request: HttpRequest) -> HttpResponse:
    """Show who holds what, as of any day."""
    viewer = viewer_for(request, at=timezone.now())
    people, form = access.people_on_board_of(viewer), board_form(request.GET, viewer)
    before, after = request.GET.get("before", ""), request.GET.get("after", "")
    board = queries.grid(people, form.asked(), at=viewer.at, before=before, after=after)
    return render(request, "certs/board/grid.html", {"board": board, "form": form, "across": viewer.across})


@require_safe
def day_sheet(request: HttpRequest) -> HttpResponse:
    """Send the day sheet of the crews asked about; what cannot be read or printed is said on the board."""
    viewer = viewer_for(request, at=timezone.now())
    people, form = access.people_on_board_of(viewer), board_form(request.GET, viewer)
    if not form.is_valid():
        return _back(request)
    try:
        made = pdf.day(people, form.asked(), at=viewer.at)
    except TooMany as refusal:
        messages.warning(request, str(refusal))
        return _back(request)
    disposition = {"Content-Disposition": f'inline; filename="{_name(form)}"'}
    return HttpResponse(made, content_type="application/pdf", headers=disposition)


def _back(request: HttpRequest) -> HttpResponse:
    return redirect(f"{reverse('board:grid')}?{request.GET.urlencode()}")


def _name(form: BoardForm) -> str:
    return f"day-sheet-{form.asked().on.isoformat()}.pdf"
