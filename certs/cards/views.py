"""Pages about cards, and the public check."""

from datetime import date

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.cards import access, operations, pdf, queries
from certs.cards.forms import CodeForm, MeasureForm, NumberForm
from certs.cards.models import Card
from certs.cards.rules import Step, local_day, tidy_number
from training.people.access import viewer_for


@require_safe
def card(request: HttpRequest, number: str) -> HttpResponse:
    """Show a card to its holder, their supervisor, or the body."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.card_for(viewer, number)
    context = {
        "face": queries.face(found, on=local_day(viewer.at, found.zone)),
        "history": queries.history(found),
        "may_confirm": access.may_confirm(viewer, found),
        "may_measure": access.may_measure(viewer, found),
    }
    return render(request, "certs/cards/card.html", context)


@require_safe
def card_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """Send the card as a page of its own size, front and back."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.card_for(viewer, number)
    try:
        made = pdf.render(queries.face(found, on=local_day(viewer.at, found.zone)))
    except (pdf.CannotPrint, queries.KeyUnavailable) as refusal:
        messages.error(request, str(refusal))
        return redirect("cards:card", number=found.number)
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{found.number}.pdf"'
    return response


@require_http_methods(["GET", "POST"])
def measure(request: HttpRequest, number: str) -> HttpResponse:
    """Let an administrator suspend, reinstate or withdraw a card."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.card_to_measure(viewer, number)
    on = local_day(viewer.at, found.zone)
    steps = queries.steps_for(queries.face(found, on=on))
    form = MeasureForm(request.POST or None, steps=steps)
    if form.is_valid():
        step, reason = Step(form.cleaned_data["step"]), form.cleaned_data["reason"]
        try:
            operations.measure(card=found, step=step, by=viewer.person, reason=reason, on=on, at=viewer.at)
        except operations.MeasureRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("The measure is on the record and counts at once."))
            return redirect("cards:card", number=found.number)
    return _form_page(request, "certs/cards/measure.html", form, found, on)


@login_not_required
@require_safe
def check(request: HttpRequest) -> HttpResponse:
    """Ask for a card's number or the text of its code."""
    if "number" not in request.GET:
        return _check_page(request, NumberForm(), CodeForm())
    form = NumberForm(request.GET)
    if not form.is_valid():
        return _check_page(request, form, CodeForm())
    # What cannot be a number gets the page of an unknown one.
    return redirect("cards:check_number", number=tidy_number(form.cleaned_data["number"]) or "unknown")


@login_not_required
@never_cache
@require_safe
def check_number(request: HttpRequest, number: str) -> HttpResponse:
    """Answer for the card of that number."""
    return _answer(request, queries.check(number, at=timezone.now()))


@login_not_required
@never_cache
@require_POST
def check_code(request: HttpRequest) -> HttpResponse:
    """Answer for a scanned code: first the signature, then the register."""
    form = CodeForm(request.POST)
    if not form.is_valid():
        return _check_page(request, NumberForm(), form)
    return _answer(request, queries.check_code(form.cleaned_data["code"], at=timezone.now()))


def _form_page(request: HttpRequest, template: str, form: Form, found: Card, on: date) -> HttpResponse:
    context = {"form": form, "face": queries.face(found, on=on), "page_has_errors": bool(form.errors)}
    return render(request, template, context)


def _check_page(request: HttpRequest, number: NumberForm, code: CodeForm) -> HttpResponse:
    context = {"number_form": number, "code_form": code, "page_has_errors": bool(number.errors or code.errors)}
    return render(request, "certs/cards/check.html", context)


def _answer(request: HttpRequest, checked: queries.Checked) -> HttpResponse:
    return render(request, "certs/cards/answer.html", {"checked": checked, "face": checked.face})
