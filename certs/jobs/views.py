"""Jobs, days away, and the check of a job."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.jobs import access, operations, pdf, queries
from certs.jobs.forms import AbsenceForm, AgainForm, JobForm, KitForm, ListForm, read_list, typed_of, why
from certs.jobs.forms.listing import Listing
from certs.jobs.models import Absence
from certs.jobs.rules import Need, Reason, need
from certs.jobs.rules.lists import HEADS, NEEDED, example
from certs.schemes.queries import current_issues
from training.calc.catalogue import OutOfRange
from training.people.access import Viewer, crews_seen_by, viewer_for
from training.tables.rules import Unreadable


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
    form = _job_form(viewer, request.POST or None, today=viewer.on)
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
    form = _job_form(viewer, request.POST or None, held=found.crew_id, initial=typed_of(found))
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


@require_http_methods(["GET", "POST"])
def bring_in(request: HttpRequest) -> HttpResponse:
    """Take a file of jobs and say what is in it: every wrong line, or what will be kept."""
    viewer = viewer_for(request, at=timezone.now())
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = ListForm(*sent, employers=access.employers_planned_by(viewer), across=viewer.across)
    found = _listing(form, form.cleaned_data["file"].read(), "file", on=viewer.on) if form.is_valid() else None
    return _list_page(request, viewer, form, found)


@require_POST
def bring_in_all(request: HttpRequest) -> HttpResponse:
    """Keep all jobs of a list that was looked over, or none where anything is wrong by now."""
    viewer = viewer_for(request, at=timezone.now())
    employers = access.employers_planned_by(viewer)
    form = AgainForm(request.POST, employers=employers, across=viewer.across)
    found = None
    if form.is_valid():
        # What is no text in UTF-8 is refused by the reader, with its sentence.
        found = _listing(form, form.cleaned_data["text"].encode("utf-8", "surrogatepass"), None, on=viewer.on)
    if found is None or found.wrongs:
        blank = ListForm(employers=employers, across=viewer.across)
        return _list_page(request, viewer, form if form.errors else blank, found)
    try:
        kept = operations.bring_in(jobs=found.jobs, by=viewer.person, at=viewer.at)
    except operations.JobRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("jobs:bring_in")
    words = ngettext("%(number)d job is brought in.", "%(number)d jobs are brought in.", len(kept))
    messages.success(request, words % {"number": len(kept)})
    return redirect("jobs:index")


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
    form = AbsenceForm(request.POST or None, people=people, across=viewer.across, today=viewer.on)
    if form.is_valid():
        typed = form.cleaned_data | {"reason": Reason(form.cleaned_data["reason"])}
        try:
            kept = operations.go_away(by=viewer.person, at=viewer.at, **typed)
        except operations.AbsenceRefused as refusal:
            form.add_error("from_on", str(refusal))
        else:
            messages.success(request, _("Kept: %(name)s is away from %(day)s to %(until)s.") % _away(kept))
            if sent := queries.sent_while_away(kept):
                words = _("An accepted plan sends %(name)s out on these days, so change it: %(turns)s.")
                turns = "; ".join(f"{date_format(one.on)}, {one.reference}" for one in sent)
                messages.warning(request, words % {"name": kept.person.name, "turns": turns})
            return redirect("jobs:away")
    context = {"form": form, "away": queries.away(people, on=viewer.on), "across": viewer.across}
    return render(request, "certs/jobs/away.html", context | {"page_has_errors": bool(form.errors)})


@require_POST
def come_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take days away out."""
    absence = access.absence_for(viewer_for(request, at=timezone.now()), pk)
    operations.come_back(absence=absence)
    words = _("Taken out: %(name)s is no longer away from %(day)s to %(until)s.")
    messages.success(request, words % _away(absence))
    return redirect("jobs:away")


def _away(absence: Absence) -> dict[str, str]:
    days = {"day": date_format(absence.from_on), "until": date_format(absence.until_on)}
    return {"name": absence.person.name} | days


def _listing(form: ListForm, raw: bytes, field: str | None, *, on: date) -> Listing | None:
    """Read the list that was sent; a file that is none is said beside the field."""
    try:
        return read_list(raw, employer=form.chosen, issues=list(current_issues()), on=on)
    except Unreadable as fault:
        form.add_error(field, why(fault))
        return None


def _list_page(request: HttpRequest, viewer: Viewer, form: ListForm, found: Listing | None) -> HttpResponse:
    ready = found is not None and not found.wrongs
    schemes = [issue.scheme.slug for issue in current_issues()]
    context = {
        "form": form,
        "found": found,
        "employer": form.chosen if ready else None,
        "heads": [*HEADS, *schemes],
        "example": example(schemes[-1], on=viewer.on) if schemes else (),
        "needed": NEEDED,
        "across": viewer.across,
        "page_has_errors": bool(form.errors) or (found is not None and not ready),
    }
    return render(request, "certs/jobs/bring_in.html", context)


def _job_form(viewer: Viewer, typed: Any, *, held: int | None = None, **more: Any) -> JobForm:
    """Return the form of a job; one that stands keeps the crew `held`, whatever became of it."""
    employers, issues = access.employers_planned_by(viewer), list(current_issues())
    crews = crews_seen_by(viewer).filter(Q(is_used=True) | Q(pk=held))
    return JobForm(typed, employers=employers, crews=crews, issues=issues, across=viewer.across, **more)


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
