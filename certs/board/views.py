"""The page of the board."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from certs.board import access, queries
from certs.board.forms import BoardForm
from training.people.access import crews_seen_by, employers_seen_by, viewer_for


@require_safe
def grid(request: HttpRequest) -> HttpResponse:
    """Show who holds what, as of any day."""
    viewer = viewer_for(request, at=timezone.now())
    people = access.people_on_board_of(viewer)
    form = BoardForm(
        request.GET,
        crews=crews_seen_by(viewer),
        employers=employers_seen_by(viewer),
        across=viewer.across,
        today=viewer.on,
    )
    before, after = request.GET.get("before", ""), request.GET.get("after", "")
    board = queries.grid(people, form.asked(), at=viewer.at, before=before, after=after)
    context = {"board": board, "form": form, "across": viewer.across}
    return render(request, "certs/board/grid.html", context)
