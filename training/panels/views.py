"""The pages where a panel meets on a pass mark."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.panels import access, operations, queries, rules
from training.panels.forms import CloseForm, JudgesForm, MinuteForm, OpenForm, SheetForm, field_name
from training.panels.models import Panel
from training.people.access import Viewer, viewer_for

either = require_http_methods(["GET", "HEAD", "POST"])


def _posted(request: HttpRequest) -> object:
    return request.POST if request.method == "POST" else None


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the panels, and the papers on which one may be opened."""
    viewer = viewer_for(request, at=timezone.now())
    listing = queries.index(access.panels_seen_by(viewer), person=viewer.person, may_open=viewer.across)
    return render(request, "training/panels/index.html", {"listing": listing})


@either
def open_panel(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask who judges and how many questions, then open the panel."""
    viewer = viewer_for(request, at=timezone.now())
    issue = access.issue_for(viewer, slug)
    form = OpenForm(_posted(request), queries.trainers(on=viewer.on))
    if form.is_valid():
        facts = {"people": list(form.cleaned_data["people"]), "extent": rules.Extent(form.cleaned_data["extent"])}
        try:
            made = operations.open_panel(issue=issue, by=viewer.person, on=viewer.on, at=viewer.at, **facts)
        except operations.Taken as taken:
            messages.info(request, str(taken))
            return redirect("panels:panel", taken.panel.pk)
        except operations.REFUSALS as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("The panel is open. Each judge now estimates alone."))
            return redirect("panels:panel", made.pk)
    return render(request, "training/panels/open.html", {"form": form, "issue": issue})


@require_safe
def panel(request: HttpRequest, pk: int) -> HttpResponse:
    """Show where a panel stands and what its closed rounds came to."""
    viewer = viewer_for(request, at=timezone.now())
    return _panel(request, viewer, access.panel_for(viewer, pk), MinuteForm())


def _panel(request: HttpRequest, viewer: Viewer, held: Panel, form: MinuteForm) -> HttpResponse:
    page = queries.page(held, person=viewer.person)
    context = {"page": page, "form": form, "may_run": viewer.across}
    return render(request, "training/panels/panel.html", context)


@either
def judges(request: HttpRequest, pk: int) -> HttpResponse:
    """Name further judges while the first round is open."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.own_panel_for(viewer, pk)
    form = JudgesForm(_posted(request), queries.trainers(on=viewer.on))
    if form.is_valid():
        people = list(form.cleaned_data["people"])
        try:
            operations.name_judges(panel=held, by=viewer.person, people=people, on=viewer.on, at=viewer.at)
        except operations.REFUSALS as refusal:
            messages.error(request, str(refusal))
        else:
            messages.success(request, _("The judges are named."))
        return redirect("panels:panel", pk)
    return render(request, "training/panels/judges.html", {"form": form, "panel": held})


@either
def estimates(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the judge's own sheet of the open round, and keep what was typed."""
    viewer = viewer_for(request, at=timezone.now())
    seat = access.seat_for(viewer, pk)
    sheet = queries.sheet(seat)
    places = [one.position for one in sheet.questions]
    form = SheetForm(_posted(request), places, number=sheet.round, kept=sheet.kept)
    if form.is_valid():
        number = form.cleaned_data["round"]
        try:
            operations.keep_estimates(judge=seat, number=number, percents=form.percents, at=viewer.at)
        except operations.REFUSALS as refusal:
            messages.error(request, str(refusal))
        else:
            messages.success(request, _("Your estimates are kept. You may change them until the round is closed."))
        return redirect("panels:panel", pk)
    rows = [(one, form[field_name(one.position)]) for one in sheet.questions]
    return render(request, "training/panels/estimates.html", {"sheet": sheet, "form": form, "rows": rows})


@either
def close(request: HttpRequest, pk: int) -> HttpResponse:
    """Say who has not finished, then close the open round for good."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.own_panel_for(viewer, pk)
    page = queries.page(held, person=viewer.person)
    form = CloseForm(_posted(request), initial={"round": page.round})
    if form.is_valid():
        try:
            operations.close_round(panel=held, number=form.cleaned_data["round"], by=viewer.person, at=viewer.at)
        except operations.REFUSALS as refusal:
            messages.error(request, str(refusal))
        else:
            messages.success(request, _("The round is closed. Its estimates stand as they are."))
        return redirect("panels:panel", pk)
    if page.stage is rules.Stage.CLOSED:
        return redirect("panels:panel", pk)
    return render(request, "training/panels/close.html", {"page": page, "form": form})


@require_POST
def minutes(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a paragraph to the minutes."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.panel_for(viewer, pk)
    form = MinuteForm(request.POST)
    if not form.is_valid():
        return _panel(request, viewer, held, form)
    operations.keep_minute(panel=held, by=viewer.person, text=form.cleaned_data["text"], at=viewer.at)
    messages.success(request, _("The minutes are kept."))
    return redirect("panels:panel", pk)
