"""Complaints."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.complaints import access, operations, queries
from certs.complaints.forms import NewForm, OutsideForm, form_for
from certs.complaints.models import Complaint, ComplaintStep
from certs.complaints.operations import Given, Outside
from certs.complaints.rules import About
from training.people.access import Viewer, viewer_for

GIVEN = ("about", "what", "wanted", "card", "of", "who", "happened_on", "place", "reference")
OUTSIDE = ("name", "channel", "contact", "came_on")


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List one's own complaints, and those one is asked about or handles."""
    viewer = viewer_for(request, at=timezone.now())
    return render(request, "certs/complaints/index.html", {"lists": queries.index(viewer.person, on=viewer.on)})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Complain; the address may hold card, day, place and number, as the page has them from which one comes."""
    viewer = viewer_for(request, at=timezone.now())
    asked = request.GET
    initial = {"about": asked.get("about", About.WORK if "card" in asked else ""), "happened_on": asked.get("on", "")}
    initial |= {name: asked.get(name, "") for name in ("card", "place", "reference")}
    form = NewForm(request.POST if request.method == "POST" else None, initial=initial, **_offered(request, viewer))
    return _received(request, viewer, form, "certs/complaints/new.html")


@require_http_methods(["GET", "HEAD", "POST"])
def outside(request: HttpRequest) -> HttpResponse:
    """Write down a complaint that came from outside."""
    viewer = access.writer_for_outside(viewer_for(request, at=timezone.now()))
    form = OutsideForm(
        request.POST if request.method == "POST" else None,
        initial={"came_on": viewer.on},
        **_offered(request, viewer),
    )
    return _received(request, viewer, form, "certs/complaints/outside.html")


@require_safe
def complaint(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a complaint."""
    viewer = viewer_for(request, at=timezone.now())
    return render(request, "certs/complaints/complaint.html", {"page": access.page_for(viewer, pk)})


@require_POST
def take(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a complaint up."""
    viewer = viewer_for(request, at=timezone.now())
    page = access.page_to_take(viewer, pk)
    try:
        made = operations.take(complaint=page.complaint, by=viewer.person, on=viewer.on, at=viewer.at)
    except (operations.OutOfTurn, operations.Involved) as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _("You handle this complaint now."))
        _tell(request, viewer, page.complaint, made)
    return redirect("complaints:complaint", pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
def step(request: HttpRequest, pk: int, name: str) -> HttpResponse:
    """Do a step with a complaint: ask for a side or give it, tell how far it is, find, act, close, put right."""
    viewer = viewer_for(request, at=timezone.now())
    page, wanted = access.page_for_step(viewer, pk, name)
    form = form_for(wanted, page, request.POST if request.method == "POST" else None)
    if form.is_valid():
        facts = {"complaint": page.complaint, "step": wanted, "by": viewer.person, "on": viewer.on, "at": viewer.at}
        try:
            made = operations.add(**facts, **form.cleaned_data)
        except (operations.OutOfTurn, operations.Involved) as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("Kept. It stands with the complaint."))
            _tell(request, viewer, page.complaint, made)
            return redirect("complaints:complaint", pk=pk)
    context = {"form": form, "page": page, "step": wanted, "page_has_errors": bool(form.errors)}
    return render(request, "certs/complaints/step.html", context)


def _offered(request: HttpRequest, viewer: Viewer) -> dict[str, Any]:
    people = queries.nameable(viewer.person, on=viewer.on).select_related("employer")
    return {"nameable": people, "find": access.card_finder(request, at=viewer.at)}


def _received(request: HttpRequest, viewer: Viewer, form: NewForm, template: str) -> HttpResponse:
    """Receive what was typed, or show the form again with everything that is wrong."""
    from_outside = isinstance(form, OutsideForm)
    if form.is_bound:
        form.full_clean()
        flaws = operations.flaws_in(form.cleaned_data, from_outside=from_outside, by=viewer.person, on=viewer.on)
        for field, sentence in flaws:
            form.add_error(field, sentence)
    if not form.is_valid():
        return render(request, template, {"form": form, "page_has_errors": bool(form.errors)})
    facts = form.cleaned_data
    made = operations.receive(
        given=Given(**{one: facts[one] for one in GIVEN}),
        outside=Outside(**{one: facts[one] for one in OUTSIDE}) if from_outside else None,
        by=viewer.person,
        on=viewer.on,
        at=viewer.at,
    )
    words = _("Complaint %(number)s is received. Its answer is due by %(day)s.")
    messages.success(request, words % {"number": made.number, "day": date_format(made.due_on)})
    _tell(request, viewer, made, None)
    return redirect("complaints:complaint", pk=made.pk)


def _tell(request: HttpRequest, viewer: Viewer, about: Complaint, made: ComplaintStep | None) -> None:
    """Mail what was just done to whom it concerns, and say whom no mail reached; a receipt tells no names."""
    missed = operations.tell(complaint=about, step=made, by=viewer.person, on=viewer.on, at=viewer.at)
    if missed and made is not None:
        words = _("No mail has reached %(names)s yet. Tell them yourself.")
        messages.warning(request, words % {"names": ", ".join(missed)})
