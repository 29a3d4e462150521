"""The gap plan."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from certs.gaps import access, queries
from certs.gaps.forms import PlanForm
from training.people.access import viewer_for


@require_safe
def plan(request: HttpRequest) -> HttpResponse:
    """Make the gap plan when it is asked for: it takes a while."""
    viewer = viewer_for(request, at=timezone.now())
    form = PlanForm(request.GET or None, employers=access.employers_asking_by(viewer), on=viewer.on)
    page = None
    if form.is_valid():
        page = queries.gap_plan(form.chosen, until=form.cleaned_data["until"], on=viewer.on, at=viewer.at)
    return render(request, "certs/gaps/plan.html", {"form": form, "page": page, "page_has_errors": bool(form.errors)})
