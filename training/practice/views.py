"""The pages of practice."""

import secrets
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.bank.forms import SheetForm, typed
from training.bank.operations import AskAgain
from training.people.access import viewer_for
from training.practice import access, operations, queries


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the subjects to practise."""
    viewer = viewer_for(request, at=timezone.now())
    return render(request, "training/practice/index.html", {"page": queries.index(viewer.person)})


@require_POST
def ask(request: HttpRequest, topic: str) -> HttpResponse:
    """Draw the next question of a subject."""
    viewer = viewer_for(request, at=timezone.now())
    subject = access.subject_for(topic)
    seed = secrets.token_hex(16)
    try:
        asked = operations.ask(person=viewer.person, topic=subject, seed=seed, at=viewer.at, on=viewer.on)
    except operations.NotNow as refusal:
        messages.info(request, str(refusal))
        return redirect("practice:index")
    return redirect("practice:question", asked.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def question(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show a practice question; a POST answers it, and the page shows the working."""
    viewer = viewer_for(request, at=timezone.now())
    practice = access.practice_for(viewer, pk)
    page = queries.page(practice)
    if request.method != "POST" or page.told:
        return render(request, "training/practice/question.html", {"page": page, "form": SheetForm(page, {})})
    answers = typed(page, request.POST)
    try:
        operations.answer(practice=practice, answers=answers[1], at=viewer.at)
    except AskAgain as error:
        form = SheetForm(page, answers)
        form.ask_again(error.problems)
        return render(request, "training/practice/question.html", {"page": page, "form": form})
    except operations.NotNow as refusal:
        messages.info(request, str(refusal))
        return redirect("practice:index")
    return redirect("practice:question", pk)
