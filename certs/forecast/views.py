"""The page of the forecast."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from certs.forecast import access, queries
from certs.forecast.forms import forecast_form
from training.people.access import viewer_for
from training.people.rules import Role


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """Show when cards end and work has to be confirmed."""
    viewer = viewer_for(request, at=timezone.now())
    people, form = access.people_on_board_of(viewer), forecast_form(request.GET, viewer)
    ahead = queries.forecast(people, form.asked(), across=viewer.across, at=viewer.at)
    plans = viewer.has(Role.SUPERVISOR, Role.ADMINISTRATOR)
    return render(request, "certs/forecast/page.html", {"ahead": ahead, "form": form, "plans": plans})
