"""The pages before a sitting: the papers, the rules and the start, the data sheet; for staff what is settled."""

import secrets

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from training.people.access import viewer_for
from training.quizzes import access, forms, operations, queries


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the papers, whether each may be sat now, and the person's own sittings."""
    viewer = viewer_for(request, at=timezone.now())
    page = queries.index(viewer.person, at=viewer.at, weighed=True)
    return render(request, "training/quizzes/index.html", {"page": page, "staff": access.arranges(viewer)})


@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest, slug: str) -> HttpResponse:
    """Say the rules of a paper; a POST agrees to them and opens it, or goes on with the one that is open."""
    viewer = viewer_for(request, at=timezone.now())
    issue = access.paper_for(slug)
    form = forms.AgreeForm(request.POST if request.method == "POST" else None)
    refused = ""
    if form.is_valid():
        seed = secrets.token_hex(16)
        try:
            opened = operations.open_sitting(person=viewer.person, paper=issue.paper, seed=seed, at=viewer.at)
        except (operations.MustWait, operations.MustRetrain, operations.NotAdmitted):
            pass  # the page itself says until when, or what is waited for
        except operations.PoolTooSmall as error:
            refused = str(error)
        else:
            return redirect("quizzes:sitting", opened.pk)
    page = queries.start(viewer.person, issue, at=viewer.at)
    context = {"page": page, "row": page.row, "terms": page.row.terms, "form": form, "refused": refused}
    return render(request, "training/quizzes/start.html", context)


@require_safe
def data(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the data sheet of a paper on a page of its own."""
    viewer_for(request, at=timezone.now())
    issue = access.paper_for(slug)
    context = {"title": issue.title, "slug": slug, "data": queries.data_sheet(issue)}
    return render(request, "training/quizzes/data.html", context)


@require_safe
def supply(request: HttpRequest) -> HttpResponse:
    """Say of each cell of each paper how many questions it wants and has."""
    access.require_member(viewer_for(request, at=timezone.now()))
    return render(request, "training/quizzes/supply.html", {"papers": queries.supply()})


@require_http_methods(["GET", "HEAD", "POST"])
def arrangements(request: HttpRequest) -> HttpResponse:
    """List the time settled and the retraining on record; a POST settles more."""
    viewer = viewer_for(request, at=timezone.now())
    people = access.people_arranged_by(viewer)
    act = request.POST.get("act", "")
    offered = {"people": people, "titles": queries.titles()}
    time, retrained = forms.forms_of(request.POST, act=act, on=viewer.on, **offered)
    form = retrained if act == retrained.act else time
    if form.is_bound and form.is_valid():
        try:
            said = _settle(form, viewer)
        except operations.NotArranged as refusal:
            form.add_error("person", str(refusal))
        else:
            messages.success(request, said)
            return redirect("quizzes:arrangements")
    context = {"page": queries.arrangements(people), "time": time, "retrained": retrained, "form": form}
    return render(request, "training/quizzes/arrangements.html", context)


def _settle(form: forms.AboutForm, viewer: access.Viewer) -> str:
    if isinstance(form, forms.RetrainedForm):
        operations.record_retraining(**form.cleaned_data, by=viewer.person, at=viewer.at, on=viewer.on)
        return _("The retraining is on record.")
    operations.accommodate(**form.cleaned_data, by=viewer.person, at=viewer.at)
    return _("The time is settled. It holds for papers opened from now on.")
