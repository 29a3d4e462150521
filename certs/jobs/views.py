"""Jobs, days away, and the check of a job."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.jobs import access, operations, pdf, queries
from certs.jobs.forms import AbsenceForm, JobForm, KitForm, typed_of
from certs.jobs.rules import Need, Reason, need
from certs.schemes.queries import current_issues
from training.calc.catalogue import OutOfRange
from training.people.access import Viewer, crews_seen_by, viewer_for


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the jobs."""
    viewer = viewer_for(request, at=timezone.now())
    lists = queries.index(access.jobs_kept_by(viewer), on=viewer.on)
    return render(request, "certs/jobs/index.html", {"lists": lists, "across": viewer.across})


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Take a new job."""
    viewer = viewer_for(request, at=timezone.now())
    form = _job_form(viewer, request.POST or None)
    if form.is_valid():
        try:
            made = operations.add(facts=form.facts(), by=viewer.person, at=viewer.at)
        except operations.JobRefused as refusal:
            form.refuse(str(refusal))
        else:
            return redirect("jobs:job", pk=made.pk)
    return render(request, "certs/jobs/edit.html", {"form": form, "page_has_errors": bool(form.errors)})


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a job."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.job_for(viewer, pk)
    form = _job_form(viewer, request.POST or None, initial=typed_of(found))
    if form.is_valid():
        try:
            operations.change(job=found, facts=form.facts())
        except operations.JobRefused as refusal:
            form.refuse(str(refusal))
        else:
            messages.success(request, _("The job is kept as changed."))
            return redirect("jobs:job", pk=pk)
    context = {"form": form, "job": found, "page_has_errors": bool(form.errors)}
    return render(request, "certs/jobs/edit.html", context)


@require_safe
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """Show whether a job can be crewed, day by day, and what a day takes."""
    viewer = viewer_for(request, at=timezone.now())
    found = queries.check(access.job_for(viewer, pk), on=viewer.on, at=viewer.at)
    return render(request, "certs/jobs/job.html", {"check": found, "job": found.job, **_kit(request, found)})


@require_safe
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a job's crew and kit on one page; what cannot be computed is said on the job's page."""
    viewer = viewer_for(request, at=timezone.now())
    found = queries.check(access.job_for(viewer, pk), on=viewer.on, at=viewer.at)
    kit = _kit(request, found)
    if not kit["figures"]:
        return redirect(f"{request.path.removesuffix('sheet.pdf')}?{request.GET.urlencode()}")
    made = pdf.sheet(found, kit["figures"], kit["cautions"], kit["form"].assumed(), at=viewer.at)
    disposition = {"Content-Disposition": f'inline; filename="job-{found.since.isoformat()}.pdf"'}
    return HttpResponse(made, content_type="application/pdf", headers=disposition)


@require_POST
def close(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a job off the list."""
    viewer = viewer_for(request, at=timezone.now())
    operations.close(job=access.job_for(viewer, pk), at=viewer.at)
    messages.success(request, _("The job is closed. It stays below on the list."))
    return redirect("jobs:index")


@require_POST
def reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a closed job back on the list."""
    operations.reopen(job=access.job_for(viewer_for(request, at=timezone.now()), pk))
    return redirect("jobs:job", pk=pk)


@require_http_methods(["GET", "POST"])
def away(request: HttpRequest) -> HttpResponse:
    """Show who is away, and keep days away."""
    viewer = viewer_for(request, at=timezone.now())
    people = access.people_planned_by(viewer)
    form = AbsenceForm(request.POST or None, people=people)
    if form.is_valid():
        typed = form.cleaned_data | {"reason": Reason(form.cleaned_data["reason"])}
        try:
            operations.go_away(by=viewer.person, at=viewer.at, **typed)
        except operations.AbsenceRefused as refusal:
            form.add_error("from_on", str(refusal))
        else:
            messages.success(request, _("The days away are kept."))
            return redirect("jobs:away")
    context = {"form": form, "away": queries.away(people, on=viewer.on), "across": viewer.across}
    return render(request, "certs/jobs/away.html", context | {"page_has_errors": bool(form.errors)})


@require_POST
def come_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take days away out."""
    operations.come_back(absence=access.absence_for(viewer_for(request, at=timezone.now()), pk))
    messages.success(request, _("The days away are taken out."))
    return redirect("jobs:away")


def _job_form(viewer: Viewer, typed: Any, initial: dict[str, Any] | None = None) -> JobForm:
    employers, issues = access.employers_planned_by(viewer), list(current_issues())
    crews = crews_seen_by(viewer)
    return JobForm(typed, employers=employers, crews=crews, issues=issues, across=viewer.across, initial=initial or {})


def _kit(request: HttpRequest, found: queries.Check) -> dict[str, Any]:
    """Return the form of what is assumed, and what it comes to where it can be read and computed."""
    form = KitForm(request.GET, cold=found.job.cold)
    kit = form.kit()
    context: dict[str, Any] = {"form": form, "figures": (), "query": request.GET.urlencode()}
    if kit is None:
        return context
    try:
        needed: Need = need(found.most_bonds, kit)
    except OutOfRange as refusal:
        form.add_error(None, str(refusal))
        return context
    heed = queries.cautions(kit, needed, cold=found.job.cold, night=found.job.night)
    return context | {"figures": queries.figures(kit, needed), "cautions": heed}
