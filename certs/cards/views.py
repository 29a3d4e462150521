"""Pages about cards."""

from datetime import date

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from certs.cards import access, operations, pdf, queries
from certs.cards.forms import MeasureForm
from certs.cards.models import Card
from certs.cards.rules import Step, local_day
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
    face = queries.face(found, on=local_day(viewer.at, found.zone))
    try:
        operations.note_codes(shown=[face], at=viewer.at)
        made = pdf.render(face)
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


def _form_page(request: HttpRequest, template: str, form: Form, found: Card, on: date) -> HttpResponse:
    context = {"form": form, "face": queries.face(found, on=on), "page_has_errors": bool(form.errors)}
    return render(request, template, context)
