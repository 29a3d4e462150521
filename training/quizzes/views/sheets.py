"""The pages of papers and sittings."""

import secrets
from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.bank import forms
from training.bank.forms import SheetForm
from training.bank.operations import AskAgain
from training.people.access import viewer_for
from training.quizzes import access, operations, queries, rules
from training.quizzes.models import Sitting


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the papers, whether each may be sat now, and the person's own sittings."""
    viewer = viewer_for(request, at=timezone.now())
    page = queries.index(viewer.person, at=viewer.at)
    return render(request, "training/quizzes/index.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest, slug: str) -> HttpResponse:
    """Say the rules of a paper; a POST opens it, or goes on with the one that is open."""
    viewer = viewer_for(request, at=timezone.now())
    issue = access.paper_for(slug)
    refused = None
    if request.method == "POST":
        seed = secrets.token_hex(16)
        try:
            opened = operations.open_sitting(person=viewer.person, paper=issue.paper, seed=seed, at=viewer.at)
        except operations.MustWait:
            pass  # the page itself says until when
        except operations.PoolTooSmall as error:
            refused = str(error)
        else:
            return redirect("quizzes:sitting", opened.pk)
    row = queries.row(viewer.person, issue, at=viewer.at)
    return render(request, "training/quizzes/start.html", {"row": row, "terms": row.terms, "refused": refused})


@require_http_methods(["GET", "HEAD", "POST"])
def sitting(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show the whole paper on one page; a POST hands it in; afterwards show what it came to."""
    viewer = viewer_for(request, at=timezone.now())
    paper = access.sitting_for(viewer, pk)
    if paper.handed_in_at:
        result = queries.result(paper, at=viewer.at)
        own = paper.person_id == viewer.person.pk
        return render(request, "training/quizzes/result.html", {"result": result, "own": own})
    if rules.overdue(due_at=paper.due_at, at=viewer.at):
        operations.hand_in(sitting=paper, answers={}, at=viewer.at)
        messages.info(request, _("The time was over. What you had kept by then was handed in."))
        return redirect("quizzes:sitting", pk)
    sheet = queries.sheet(paper, at=viewer.at)
    if request.method == "POST":
        return _hand_in(request, paper, sheet, at=viewer.at)
    return _page(request, SheetForm(sheet, forms.kept(sheet)))


def _hand_in(request: HttpRequest, paper: Sitting, sheet: queries.Sheet, *, at: datetime) -> HttpResponse:
    answers = forms.typed(sheet, request.POST)
    form = SheetForm(sheet, answers, asks=True, meant=forms.MEANT in request.POST)
    try:
        if form.is_valid():
            operations.hand_in(sitting=paper, answers=answers, at=at)
            return redirect("quizzes:sitting", paper.pk)
        form.ask_again(operations.keep(sitting=paper, answers=answers, at=at).problems)
    except AskAgain as error:
        form.ask_again(error.problems)
    except operations.Closed:
        return redirect("quizzes:sitting", paper.pk)
    return _page(request, form)


def _page(request: HttpRequest, form: SheetForm) -> HttpResponse:
    return render(request, "training/quizzes/sitting.html", {"form": form, "sheet": form.sheet})


@require_POST
def keep(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Keep what is on the sheet; answers that cannot be read come back with a sentence beside each."""
    viewer = viewer_for(request, at=timezone.now())
    paper = access.own_sitting_for(viewer, pk)
    sheet = queries.sheet(paper, at=viewer.at)
    answers = forms.typed(sheet, request.POST)
    json = request.get_preferred_type(["text/html", "application/json"]) == "application/json"
    try:
        problems = operations.keep(sitting=paper, answers=answers, at=viewer.at).problems
    except operations.Closed:
        messages.info(request, _("The paper is handed in already: nothing more was kept."))
        return JsonResponse({"kept": False}, status=409) if json else redirect("quizzes:sitting", pk)
    at = queries.clock(viewer.at, viewer.person)
    if json:
        return JsonResponse({"kept": True, "at": at})
    if problems:
        form = SheetForm(sheet, answers)
        form.ask_again(problems)
        return _page(request, form)
    messages.success(request, _("Kept at %(at)s.") % {"at": at})
    return redirect("quizzes:sitting", pk)
