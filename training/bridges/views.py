"""The page of a revision's questions."""

import secrets

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from training.bank.forms import SheetForm, typed
from training.bank.operations import AskAgain
from training.bank.queries import Told
from training.bridges import access, operations, queries
from training.bridges.queries import Page
from training.people.access import viewer_for

TURN = "turn"


@require_http_methods(["GET", "HEAD", "POST"])
def bridge(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show the questions of a revision; a POST opens them, then answers a turn of them."""
    viewer = viewer_for(request, at=timezone.now())
    revision = access.asking_for(slug, number)
    if request.method != "POST":
        page = queries.page(revision, person=viewer.person)
        return _shown(request, page, SheetForm(page, {}))
    seed = secrets.token_hex(16)
    opened = operations.open_bridge(person=viewer.person, revision=revision, seed=seed, at=viewer.at)
    turn = request.POST.get(TURN, "")
    if not turn:
        return redirect("bridges:bridge", slug, number)
    page = queries.page(revision, person=viewer.person)
    answers = typed(page, request.POST)
    try:
        wrong = operations.answer(
            bridge=opened, turn=int(turn) if turn.isdecimal() and len(turn) < 6 else 0, answers=answers, at=viewer.at
        )
    except AskAgain as error:
        form = SheetForm(page, answers)
        form.ask_again(error.problems)
        return _shown(request, page, form)
    except operations.OutOfTurn:
        messages.warning(request, _("Those questions were answered already. This is where you are now."))
        return redirect("bridges:bridge", slug, number)
    if not wrong:
        messages.success(request, _("Every question was answered right. It is on record."))
        return redirect("bridges:bridge", slug, number)
    page = queries.page(revision, person=viewer.person)
    return _shown(request, page, SheetForm(page, {}), wrong)


def _shown(request: HttpRequest, page: Page, form: SheetForm, wrong: tuple[Told, ...] = ()) -> HttpResponse:
    context = {"page": page, "form": form, "wrong": wrong}
    return render(request, "training/bridges/bridge.html", context)
