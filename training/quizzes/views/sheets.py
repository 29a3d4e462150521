"""The pages of an open sitting: the whole paper or one question, keeping, breaks, the review, handing in."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from training.bank import forms as sheets
from training.bank.forms import SheetForm
from training.bank.operations import AskAgain
from training.bank.rules import Problem
from training.people.access import viewer_for
from training.quizzes import access, forms, operations, queries, rules
from training.quizzes.models import Sitting


@require_http_methods(["GET", "HEAD", "POST"])
def sitting(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show the whole paper on one page, which a POST keeps on the way to the review; afterwards what it came to."""
    viewer = viewer_for(request, at=timezone.now())
    paper = access.sitting_for(viewer, pk)
    if paper.handed_in_at:
        result = queries.result(paper, at=viewer.at)
        own = paper.person_id == viewer.person.pk
        # Questions that come again are not shown to who missed them: they would be learnt by heart.
        context = {"result": result, "own": own, "tells": result.passed or not own}
        return render(request, "training/quizzes/result.html", context)
    return _over_or_paused(request, paper, viewer.at) or _sheet(request, paper, None, viewer.at)


@require_http_methods(["GET", "HEAD", "POST"])
def question(request: HttpRequest, pk: UUID, position: int) -> HttpResponse:
    """Show one question of an open paper; a POST keeps it and goes where it was asked to."""
    viewer = viewer_for(request, at=timezone.now())
    paper = access.open_sitting_for(viewer, pk, position=position)
    return _over_or_paused(request, paper, viewer.at) or _sheet(request, paper, position, viewer.at)


@require_http_methods(["GET", "HEAD", "POST"])
def review(request: HttpRequest, pk: UUID) -> HttpResponse:
    """List what cannot be read, what is empty and what is flagged; a POST hands the paper in."""
    viewer = viewer_for(request, at=timezone.now())
    paper = access.own_sitting_for(viewer, pk)
    if paper.handed_in_at:
        return redirect("quizzes:sitting", pk)
    if stopped := _over_or_paused(request, paper, viewer.at):
        return stopped
    sheet = queries.looked_over(paper, at=viewer.at)
    form = forms.EmptiesForm(request.POST if request.method == "POST" else None, empty=len(sheet.empty))
    problems: tuple[Problem, ...] = ()
    if form.is_valid():
        try:
            operations.hand_in(sitting=paper, answers={}, at=viewer.at)
            return redirect("quizzes:sitting", pk)
        except AskAgain as error:
            problems = error.problems
        except operations.OnBreak:
            return redirect("quizzes:sitting", pk)
    context = {"sheet": sheet, "form": form, "problems": problems, "page_has_errors": bool(problems)}
    return render(request, "training/quizzes/review.html", context)


@require_POST
def keep(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Keep what is on the sheet; answers that cannot be read come back with a sentence beside each."""
    viewer = viewer_for(request, at=timezone.now())
    paper = access.own_sitting_for(viewer, pk)
    only = access.position_asked(request.GET.get("only", ""))
    json = request.get_preferred_type(["text/html", "application/json"]) == "application/json"
    sent = _sent(request, queries.sheet(paper, at=viewer.at, only=only))
    try:
        kept = operations.keep(sitting=paper, answers=sent.answers, page=sent.page, at=viewer.at)
    except operations.Closed:
        messages.info(request, _("The paper is handed in already: nothing more was kept."))
        return JsonResponse({"kept": False}, status=409) if json else redirect("quizzes:sitting", pk)
    except operations.OnBreak:
        return JsonResponse({"kept": False}, status=409) if json else redirect("quizzes:sitting", pk)
    at = queries.clock(viewer.at, viewer.person)
    if json:
        says = forms.stale_words(kept.stale) if kept.stale else ""
        return JsonResponse({"kept": True, "at": at, "turns": kept.turns, "says": says})
    if _is_asked(kept, only):
        return _shown(request, queries.sheet(paper, at=viewer.at, only=only), only, kept, sent.answers)
    messages.success(request, _("Kept on %(at)s.") % {"at": at})
    return redirect("quizzes:sitting", pk) if only is None else redirect("quizzes:question", pk, only)


@require_POST
def pause(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Begin a break that was settled before the sitting, or end it."""
    viewer = viewer_for(request, at=timezone.now())
    paper = access.own_sitting_for(viewer, pk)
    act = operations.end_break if "end" in request.POST else operations.begin_break
    try:
        act(sitting=paper, at=viewer.at)
    except operations.NoBreak:
        messages.warning(request, _("No break time is left: the clock runs."))
    except operations.Closed:
        pass  # the page says what the paper came to
    return redirect("quizzes:sitting", pk)


@dataclass(frozen=True, slots=True)
class _Sent:
    answers: Mapping[int, Mapping[str, Any]]
    page: rules.Page


def _sent(request: HttpRequest, sheet: queries.Sheet) -> _Sent:
    page = forms.page_sent(sheet, request.POST, fresh=secrets.token_hex(16))
    return _Sent(sheets.typed(sheet, request.POST), page)


def _over_or_paused(request: HttpRequest, paper: Sitting, at: datetime) -> HttpResponse | None:
    """Hand in a paper whose time is over; show the break of one that stands still."""
    if rules.overdue(due_at=paper.due(at), at=at):
        operations.hand_in(sitting=paper, answers={}, at=at)
        messages.info(request, _("The time was over. What you had kept by then was handed in."))
        return redirect("quizzes:sitting", paper.pk)
    if paper.paused_at is None:
        return None
    return render(request, "training/quizzes/pause.html", {"sheet": queries.sheet(paper, at=at)})


def _sheet(request: HttpRequest, paper: Sitting, only: int | None, at: datetime) -> HttpResponse:
    if request.method != "POST":
        # The whole paper is made without a look at the sealed side; the review leads from there to each question.
        look = queries.sheet if only is None else queries.looked_over
        return _shown(request, look(paper, at=at, only=only), only)
    sent = _sent(request, queries.sheet(paper, at=at, only=only))
    try:
        kept = operations.keep(sitting=paper, answers=sent.answers, page=sent.page, at=at)
    except (operations.Closed, operations.OnBreak):
        return redirect("quizzes:sitting", paper.pk)
    if _is_asked(kept, only):
        return _shown(request, queries.sheet(paper, at=at, only=only), only, kept, sent.answers)
    to = access.position_asked(request.POST.get("to", ""))
    if to is not None and to in kept.turns:
        return redirect("quizzes:question", paper.pk, to)
    return redirect("quizzes:review", paper.pk)


def _is_asked(kept: operations.Kept, only: int | None) -> bool:
    """Say whether the page that was sent is shown again; what cannot be read on another page holds nobody up."""
    return bool(kept.stale or [one for one in kept.problems if only in (None, one.position)])


def _shown(
    request: HttpRequest,
    sheet: queries.Sheet,
    only: int | None,
    kept: operations.Kept | None = None,
    answers: Mapping[int, Mapping[str, Any]] | None = None,
) -> HttpResponse:
    """Show a sheet: as it is kept or, after a POST, as it was sent but for what was answered anew elsewhere."""
    stale = kept.stale if kept else ()
    held = sheets.kept(sheet)
    form = SheetForm(sheet, held | {place: one for place, one in (answers or {}).items() if place not in stale})
    if kept is None:
        form.ask_again(sheet.unread)
    else:
        places = {question.position for question in sheet.questions}
        form.ask_again([one for one in kept.problems if one.position in places and one.position not in stale])
        form.ask_again(forms.newer(sheet, answers or {}, stale))
    context = {
        "form": form,
        "sheet": sheet,
        "rows": list(zip(form.questions, sheet.shown_states, strict=True)),
        "only": only,
        "page": secrets.token_hex(16),
    }
    return render(
        request, "training/quizzes/sitting.html" if only is None else "training/quizzes/question.html", context
    )
