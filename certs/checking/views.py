"""The public check: a number, a code, the lists a phone keeps, and the sheet for a depot."""

from datetime import datetime

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from certs.cards.queries import KeyUnavailable
from certs.cards.rules import tidy_number
from certs.checking import access, operations, pdf, queries
from certs.checking.forms import CodeForm, NumberForm

CAMERA = "camera=(self), geolocation=(), microphone=()"


@login_not_required
@require_safe
def check(request: HttpRequest) -> HttpResponse:
    """Ask for a card's number or the text of its code."""
    if "number" not in request.GET:
        return _page(request, NumberForm(), CodeForm())
    form = NumberForm(request.GET)
    if not form.is_valid():
        return _page(request, form, CodeForm())
    # What cannot be a number gets the page of an unknown one.
    return redirect("checking:number", number=tidy_number(form.cleaned_data["number"]) or "unknown")


@login_not_required
@never_cache
@require_safe
def check_number(request: HttpRequest, number: str) -> HttpResponse:
    """Answer for the card of that number."""
    at = timezone.now()
    if not access.may_ask(request, at=at):
        return _too_many(request)
    return _answer(request, queries.check(number, at=at), at, typed=True)


@login_not_required
@never_cache
@require_POST
def check_code(request: HttpRequest) -> HttpResponse:
    """Answer for a scanned code: first the signature, then the register."""
    form = CodeForm(request.POST)
    if not form.is_valid():
        return _page(request, NumberForm(), form)
    at = timezone.now()
    if not access.may_ask(request, at=at):
        return _too_many(request)
    return _answer(request, queries.check_code(form.cleaned_data["code"], at=at), at)


@login_not_required
@never_cache
@require_safe
def lists(request: HttpRequest) -> JsonResponse:
    """Send what a phone keeps for checking without a signal: the public root key and the two signed lists."""
    kept = operations.kept_lists(at=timezone.now())
    return JsonResponse({"root": kept.root, "keys": kept.keys, "cards": kept.cards})


@require_safe
def list_pdf(request: HttpRequest) -> HttpResponse:
    """Send the list of cards as a sheet to hang up where there is no signal."""
    try:
        made = pdf.sheet(operations.fresh_list(at=timezone.now()))
    except (KeyUnavailable, pdf.TooLong) as refusal:
        messages.error(request, str(refusal))
        return redirect("checking:check")
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="list-of-cards.pdf"'
    return response


def _page(request: HttpRequest, number: NumberForm, code: CodeForm) -> HttpResponse:
    context = {"number_form": number, "code_form": code, "page_has_errors": bool(number.errors or code.errors)}
    response = render(request, "certs/checking/check.html", context)
    response["Permissions-Policy"] = CAMERA
    return response


def _answer(request: HttpRequest, checked: queries.Checked, at: datetime, *, typed: bool = False) -> HttpResponse:
    if checked.face is None:
        access.note_unknown(request, at=at)
    return render(request, "certs/checking/answer.html", {"checked": checked, "face": checked.face, "typed": typed})


def _too_many(request: HttpRequest) -> HttpResponse:
    return render(request, "certs/checking/too_many.html", status=429)
