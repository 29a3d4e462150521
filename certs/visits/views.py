"""Visits of trainers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.schemes.queries import candidates_on, current_issues
from certs.visits import access, operations, queries
from certs.visits.forms import AskForm, DeclineForm, OfferForm
from certs.visits.models import Visit
from certs.visits.rules import News
from training.people.access import Viewer, viewer_for
from training.people.rules import Role


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the visits that the viewer asks for or is asked for."""
    viewer = viewer_for(request, at=timezone.now())
    lists = queries.index(access.visits_for(viewer), on=viewer.on)
    return render(request, "certs/visits/index.html", {"lists": lists, "asks": viewer.has(*access.ASKERS)})


@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: HttpRequest) -> HttpResponse:
    """Ask a trainer to come; the address may hold scheme, day and people, as the gap plan gives them."""
    viewer = viewer_for(request, at=timezone.now())
    form = _form(request, viewer)
    if form.is_valid():
        facts = form.cleaned_data
        try:
            made = operations.ask(
                employer=form.chosen, issue=facts["issue"], trainer=facts["trainer"], people=list(facts["people"]),
                visit_on=facts["on"], place=facts["place"], by=viewer.person, at=viewer.at, on=viewer.on,
            )  # fmt: skip
        except operations.VisitRefused as refusal:
            for field, sentence in refusal.sentences:
                form.add_error(field, sentence)
        else:
            messages.success(request, _("The trainer is asked. The answer will stand here, and comes by mail."))
            _tell(request, viewer, made, News.ASKED)
            return redirect("visits:visit", pk=made.pk)
    return render(request, "certs/visits/ask.html", {"form": form, "page_has_errors": bool(form.errors)})


@require_safe
def visit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a visit."""
    viewer = viewer_for(request, at=timezone.now())
    return _page(request, viewer, access.visit_for(viewer, pk))


@require_POST
def accept(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that the trainer comes."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.visit_asked_of(viewer, pk)
    try:
        operations.accept(visit=found, by=viewer.person, at=viewer.at, on=viewer.on)
    except operations.NotOpen as reason:
        messages.error(request, str(reason))
    else:
        messages.success(request, _("Accepted. The visit is in your calendar feed, and in theirs."))
        if not found.accepted:
            _tell(request, viewer, found, News.ACCEPTED)
    return redirect("visits:visit", pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
def decline(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once and for the reason, then say that the trainer does not come."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.visit_asked_of(viewer, pk)
    form = DeclineForm(request.POST if request.method == "POST" else None)
    if not form.is_valid():
        return render(request, "certs/visits/decline.html", {"visit": found, "form": form})
    reason = form.cleaned_data["reason"]
    try:
        operations.decline(visit=found, reason=reason, by=viewer.person, at=viewer.at, on=viewer.on)
    except operations.NotOpen as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _("Declined. Whoever asked reads why."))
        _tell(request, viewer, found, News.DECLINED)
    return redirect("visits:visit", pk=pk)


@require_POST
def offer(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask another trainer in the place of one who declined."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.visit_asked_by(viewer, pk)
    form = OfferForm(request.POST, trainers=queries.others(found))
    if form.is_valid():
        trainer = form.cleaned_data["trainer"]
        try:
            made = operations.offer(visit=found, trainer=trainer, by=viewer.person, at=viewer.at, on=viewer.on)
        except operations.NotOpen as reason:
            messages.error(request, str(reason))
        except operations.VisitRefused as refusal:
            for field, sentence in refusal.sentences:
                form.add_error(field if field in form.fields else None, sentence)
        else:
            messages.success(request, _("The trainer is asked. The answer will stand here, and comes by mail."))
            _tell(request, viewer, made, News.ASKED)
    return _page(request, viewer, found, form) if form.errors else redirect("visits:visit", pk=pk)


@require_http_methods(["GET", "HEAD", "POST"])
def call_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once, then say that the visit is not to be."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.visit_asked_by(viewer, pk)
    if request.method != "POST":
        return render(request, "certs/visits/call_off.html", {"visit": found})
    try:
        operations.call_off(visit=found, by=viewer.person, at=viewer.at, on=viewer.on)
    except operations.NotOpen as reason:
        messages.error(request, str(reason))
    else:
        messages.success(request, _("Called off. It is out of the calendars."))
        _tell(request, viewer, found, News.CALLED_OFF)
    return redirect("visits:visit", pk=pk)


def _tell(request: HttpRequest, viewer: Viewer, before: Visit, news: News) -> None:
    """Mail what was just done to a visit, and say whom no mail reached; `before` is the visit as it was."""
    missed = operations.tell(
        visit=before, news=news, agreed=before.accepted is True, by=viewer.person, on=viewer.on, at=viewer.at
    )
    if missed:
        words = _("No mail has reached %(names)s yet. Tell them yourself.")
        messages.warning(request, words % {"names": ", ".join(missed)})


def _form(request: HttpRequest, viewer: Viewer) -> AskForm:
    asked = request.GET
    scheme = current_issues().filter(scheme__slug=asked.get("scheme", "")).first()
    initial = {
        "issue": scheme,
        "on": asked.get("on", ""),
        "place": asked.get("place", ""),
        "people": asked.getlist("person"),
    }
    return AskForm(
        request.POST if request.method == "POST" else None,
        initial=initial,
        employers=access.employers_asking_by(viewer),
        issues=current_issues(),
        trainers=queries.assessors(on=viewer.on).select_related("employer"),
        assesses=queries.assessed(on=viewer.on),
        people=candidates_on(access.people_visited(viewer), viewer.on).select_related("employer"),
    )


def _page(request: HttpRequest, viewer: Viewer, found: Visit, sent: OfferForm | None = None) -> HttpResponse:
    """Show a visit with the form that offers it to another trainer, which was `sent` with mistakes."""
    (shown,) = queries.shown(Visit.objects.filter(pk=found.pk), on=viewer.on)
    asks = viewer.has(*access.ASKERS) and access.employers_asking_by(viewer).filter(pk=found.employer_id).exists()
    mine = found.trainer_id == viewer.person.pk and viewer.has(Role.TRAINER)
    context = {
        "shown": shown,
        "refusals": queries.refusals(found),
        "offer": sent or OfferForm(trainers=queries.others(found)),
        "form": sent,
        "is_mine": mine,
        "same_day": queries.same_day(found) if mine and shown.standing.is_open else (),
        "sent_out": queries.sent_out(found) if asks and shown.standing.is_open else (),
        "asks": asks,
        "offers": asks and shown.can_be_offered(on=viewer.on),
    }
    return render(request, "certs/visits/visit.html", context)
