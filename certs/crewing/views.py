"""Plans of who goes to which job: asked for, made step by step, changed, accepted."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.crewing import access, operations, queries
from certs.crewing.forms import AskForm, ChangeForm, PlaceForm
from certs.crewing.models import Plan
from training.people.access import Viewer, viewer_for


@require_http_methods(["GET", "POST"])
def index(request: HttpRequest) -> HttpResponse:
    """List the plans, and begin one."""
    viewer = viewer_for(request, at=timezone.now())
    employers = access.employers_planned_by(viewer)
    form = AskForm(request.POST or None, employers=employers, across=viewer.across, today=viewer.on)
    if form.is_valid():
        try:
            made = operations.ask(**form.asked(), by=viewer.person, at=viewer.at)
        except operations.PlanRefused as refusal:
            form.add_error("first_on", str(refusal))
        else:
            return _going_on(made.pk)
    plans = queries.index(access.plans_kept_by(viewer))
    context = {"form": form, "plans": plans, "across": viewer.across, "page_has_errors": bool(form.errors)}
    return render(request, "certs/crewing/index.html", context)


@require_safe
def plan(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show a plan; with `goes` in the address, the page asks for the next step by itself."""
    found = access.plan_for(viewer_for(request, at=timezone.now()), pk)
    context = {"shown": queries.shown(found), "plan": found, "goes_on": "goes" in request.GET}
    return render(request, "certs/crewing/plan.html", context)


@require_POST
def advance(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Make the next step."""
    try:
        made = operations.advance(plan=access.plan_for(viewer_for(request, at=timezone.now()), pk))
    except operations.PlanRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("crewing:plan", pk=pk)
    return redirect("crewing:plan", pk=pk) if made.is_made else _going_on(pk)


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Give one place to somebody else, if no hard rule is in the way."""
    found = access.plan_for(viewer_for(request, at=timezone.now()), pk)
    place = PlaceForm(request.POST or request.GET, plan=found)
    if not place.is_valid():
        raise Http404
    initial = place.cleaned_data | {"after": place.cleaned_data["before"]}
    form = ChangeForm(request.POST or None, plan=found, initial=initial)
    if form.is_valid():
        try:
            operations.change(plan=found, **form.cleaned_data)
        except operations.PlanRefused as refusal:
            form.add_error("after", str(refusal))
        else:
            messages.success(request, _changed(form.cleaned_data))
            return redirect(f"{reverse('crewing:plan', kwargs={'pk': pk})}#{place.cleaned_data['on'].isoformat()}")
    asked = place.cleaned_data
    context = {"form": form, "plan": found, "place": asked, "page_has_errors": bool(form.errors)}
    context["title"] = queries.titles().get(asked["scheme"], asked["scheme"])
    held = asked["before"] and asked["before"].pk
    context["takers"] = queries.takers(found, on=asked["on"], job=asked["job"].pk, scheme=asked["scheme"], before=held)
    return render(request, "certs/crewing/change.html", context)


@require_POST
def stop(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Stop, and keep what is planned."""
    return _done(request, pk, lambda held, viewer: operations.stop(plan=held, at=viewer.at))


@require_POST
def resume(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Go on with what is left."""
    try:
        operations.resume(plan=access.plan_for(viewer_for(request, at=timezone.now()), pk))
    except operations.PlanRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("crewing:plan", pk=pk)
    return _going_on(pk)


@require_POST
def accept(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Accept a plan."""
    return _done(request, pk, lambda held, viewer: operations.accept(plan=held, by=viewer.person, at=viewer.at))


@require_POST
def take_back(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Take an accepted plan back."""
    return _done(request, pk, lambda held, viewer: operations.take_back(plan=held, by=viewer.person, at=viewer.at))


@require_http_methods(["GET", "HEAD", "POST"])
def throw_away(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Ask once, then throw a plan away; the jobs stay."""
    held = access.plan_for(viewer_for(request, at=timezone.now()), pk)
    if request.method != "POST":
        return render(request, "certs/crewing/throw_away.html", {"plan": held})
    try:
        operations.throw_away(plan=held)
    except operations.PlanRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("crewing:plan", pk=pk)
    messages.success(request, _("The plan is thrown away. The jobs stay as they are."))
    return redirect("crewing:index")


def _done(request: HttpRequest, pk: UUID, act: Callable[[Plan, Viewer], None]) -> HttpResponse:
    """Do one act on a plan and show it; a refusal is said on its page."""
    viewer = viewer_for(request, at=timezone.now())
    try:
        act(access.plan_for(viewer, pk), viewer)
    except operations.PlanRefused as refusal:
        messages.error(request, str(refusal))
    return redirect("crewing:plan", pk=pk)


def _going_on(pk: UUID) -> HttpResponse:
    return redirect(f"{reverse('crewing:plan', kwargs={'pk': pk})}?goes=on")


def _changed(typed: dict[str, Any]) -> str:
    facts = {"day": date_format(typed["on"]), "job": typed["job"].reference, "name": str(typed["after"] or "")}
    if typed["after"] is None:
        return _("%(day)s, %(job)s: the place is open now.") % facts
    return _("%(day)s, %(job)s: %(name)s goes.") % facts
