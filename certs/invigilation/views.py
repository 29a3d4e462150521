"""The two doors of an invigilator: their own list, and the candidate's device."""

from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.invigilation import access, operations, queries
from certs.invigilation.forms import HereForm
from training.people.access import viewer_for
from training.people.rules import local_day


@require_safe
def waiting(request: HttpRequest) -> HttpResponse:
    """List the candidates who wait for an invigilator."""
    viewer = viewer_for(request, at=timezone.now())
    people = access.people_invigilated_by(viewer)
    rows = queries.waiting(viewer.person, people, on=viewer.on, at=viewer.at)
    return render(request, "certs/invigilation/waiting.html", {"rows": rows})


@require_POST
def admit(request: HttpRequest, pk: int) -> HttpResponse:
    """Confirm from the list who a candidate is."""
    viewer = viewer_for(request, at=timezone.now())
    admission = access.admission_for(viewer, pk)
    try:
        operations.admit(admission=admission, by=viewer.person, at=viewer.at, on=viewer.on)
    except operations.NotArranged as refusal:
        messages.warning(request, str(refusal))
    else:
        messages.success(request, _("The identity is confirmed. The candidate may start within 30 minutes."))
    return redirect("invigilation:waiting")


@require_http_methods(["GET", "HEAD", "POST"])
def here(request: HttpRequest, slug: str) -> HttpResponse:
    """Confirm on the candidate's own device who they are: the invigilator types user name and password."""
    viewer = viewer_for(request, at=timezone.now())
    admission = access.own_admission_for(viewer, slug)
    form = HereForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        data = form.cleaned_data
        person = access.signer(request, viewer, username=data["username"], password=data["password"])
        if person is None:
            form.add_error("password", _("User name and password do not belong together. Type them again."))
        else:
            on = local_day(viewer.at, ZoneInfo(person.employer.zone))
            try:
                operations.admit(admission=admission, by=person, at=viewer.at, on=on)
            except operations.NotArranged as refusal:
                form.add_error("username", str(refusal))
            else:
                return redirect("quizzes:start", slug)
    context = {"form": form, "candidate": viewer.person, "slug": slug}
    return render(request, "certs/invigilation/here.html", context)
