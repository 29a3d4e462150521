"""The home page, and one person's record."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from certs.cards.access import may_confirm, may_measure
from certs.portraits.access import may_picture
from certs.records.access import person_for, sees_results
from certs.records.queries import plan as plans
from certs.records.queries.record import record
from certs.records.queries.today import today
from training.people.access import people_seen_by, viewer_for


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Say what the signed-in person does next."""
    viewer = viewer_for(request, at=timezone.now())
    page = today(
        viewer.person, people_seen_by(viewer), roles=viewer.roles, across=viewer.across, on=viewer.on, at=viewer.at
    )
    return render(request, "certs/records/home.html", {"page": page})


@require_safe
def plan(request: HttpRequest) -> HttpResponse:
    """Show the signed-in person's refreshers to come beside the days of their cards."""
    viewer = viewer_for(request, at=timezone.now())
    return render(request, "certs/records/plan.html", {"page": plans.plan(viewer.person, on=viewer.on)})


@require_safe
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Show everything on record about one person."""
    viewer = viewer_for(request, at=timezone.now())
    someone = person_for(viewer, pk)
    page = record(
        someone,
        may_confirm=partial(may_confirm, viewer),
        may_measure=partial(may_measure, viewer),
        sees_results=sees_results(viewer, someone),
        on=viewer.on,
        at=viewer.at,
    )
    context = {"page": page, "may_picture": may_picture(viewer, someone.pk)}
    return render(request, "certs/records/person.html", context)
