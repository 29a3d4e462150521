"""Pages of the schemes room."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from certs.schemes import access, operations, queries
from certs.schemes.forms import GrantForm, TrainedForm
from certs.schemes.rules import Act
from training.people.access import people_seen_by, viewer_for


@require_GET
def index(request: HttpRequest) -> HttpResponse:
    """List the schemes."""
    viewer_for(request, at=timezone.now()).require(*access.STAFF)
    return render(request, "certs/schemes/index.html", {"rows": queries.index()})


@require_GET
def scheme(request: HttpRequest, slug: str) -> HttpResponse:
    """Show what a scheme asks for, and who may act under it."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.scheme_for(viewer, slug)
    context = {
        "page": queries.page(found, on=viewer.on),
        "may_grant": access.may_grant(viewer),
        "may_train": access.trains_under(viewer, found),
    }
    return render(request, "certs/schemes/scheme.html", context)


@require_http_methods(["GET", "POST"])
def grant(request: HttpRequest, slug: str) -> HttpResponse:
    """Give a permission with dates."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.grantable_scheme_for(viewer, slug)
    form = GrantForm(request.POST or None, people=queries.staff_on(viewer.on), initial={"from_on": viewer.on})
    if form.is_valid():
        data = form.cleaned_data
        try:
            operations.grant(
                person=data["person"],
                scheme=found,
                act=Act(data["act"]),
                from_on=data["from_on"],
                until_on=data["until_on"],
                by=viewer.person,
                at=viewer.at,
                on=viewer.on,
            )
        except operations.NotGranted as refusal:
            form.add_error("until_on", list(refusal.sentences))
        else:
            messages.success(request, _("The permission is on record."))
            return redirect("schemes:scheme", slug)
    context = {"form": form, "title": queries.current_issue(slug).title, "slug": slug}
    return render(request, "certs/schemes/grant.html", context)


@require_http_methods(["GET", "POST"])
def trained(request: HttpRequest, slug: str) -> HttpResponse:
    """Record training given."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.trainable_scheme_for(viewer, slug)
    people = queries.candidates_on(people_seen_by(viewer), viewer.on)
    form = TrainedForm(request.POST or None, people=people, on=viewer.on)
    if form.is_valid():
        data = form.cleaned_data
        try:
            operations.record_training(
                trainer=viewer.person,
                candidate=data["candidate"],
                scheme=found,
                ended_on=data["ended_on"],
                at=viewer.at,
                on=viewer.on,
            )
        except operations.NotRecorded as refusal:
            form.add_error("ended_on", list(refusal.sentences))
        else:
            messages.success(request, _("The training is on record."))
            return redirect("schemes:scheme", slug)
    context = {"form": form, "title": queries.current_issue(slug).title, "slug": slug}
    return render(request, "certs/schemes/trained.html", context)
