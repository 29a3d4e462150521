"""Pages about cards."""

from collections.abc import Callable
from datetime import date

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from certs.cards import access, operations, pdf, queries
from certs.cards.forms import LostForm, MeasureForm, ReduceForm
from certs.cards.models import STEP_WORDS, Card
from certs.cards.rules import Step, local_day
from certs.portraits.access import may_picture
from training.people.access import Viewer, viewer_for


@require_safe
def card(request: HttpRequest, number: str) -> HttpResponse:
    """Show a card to its holder, their supervisor, or the body."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.card_for(viewer, number)
    face = queries.face(found, on=local_day(viewer.at, found.zone))
    context = {
        "face": face,
        "history": queries.history(found),
        "may_confirm": face.holds and access.may_confirm(viewer, found),
        "may_measure": access.may_measure(viewer, found),
        "may_replace": access.may_replace(viewer, found),
        "may_picture": may_picture(viewer, found.person_id),
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
    """Let an administrator suspend, reinstate or, asked once more, withdraw a card."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.card_to_measure(viewer, number)
    on = local_day(viewer.at, found.zone)
    steps = queries.steps_for(queries.face(found, on=on))
    # What led to it may begin the reason, such as the number of a complaint.
    form = MeasureForm(request.POST or None, steps=steps, initial={"reason": request.GET.get("reason", "")})
    if form.is_valid() and "back" not in request.POST:
        step, reason = Step(form.cleaned_data["step"]), form.cleaned_data["reason"]
        if step is Step.WITHDRAWN and "sure" not in request.POST:
            return _form_page(request, "certs/cards/withdraw.html", form, found, on)
        try:
            operations.measure(card=found, step=step, by=viewer.person, reason=reason, on=on, at=viewer.at)
        except operations.MeasureRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            words = _("%(name)s: %(step)s. It counts at once. Holder and supervisors with an address are told by mail.")
            messages.success(request, words % {"name": found.person.name, "step": STEP_WORDS[step]})
            return redirect("cards:card", number=found.number)
    return _form_page(request, "certs/cards/measure.html", form, found, on)


@require_http_methods(["GET", "POST"])
def replace(request: HttpRequest, number: str) -> HttpResponse:
    """Let an administrator give a lost card a new number."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.card_to_measure(viewer, number)
    form, operation = LostForm(request.POST or None), operations.replace_lost
    return _stand_in(request, "certs/cards/replace.html", form, found=found, viewer=viewer, operation=operation)


@require_http_methods(["GET", "POST"])
def reduce(request: HttpRequest, number: str) -> HttpResponse:
    """Let an administrator put a card with a narrower scope in place of another."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.card_to_measure(viewer, number)
    form = ReduceForm(request.POST or None, initial={"scope": found.scope, "limits": found.limits})
    operation = operations.reduce_scope
    return _stand_in(request, "certs/cards/reduce.html", form, found=found, viewer=viewer, operation=operation)


def _stand_in(
    request: HttpRequest, template: str, form: Form, *, found: Card, viewer: Viewer, operation: Callable[..., Card]
) -> HttpResponse:
    """Carry out what puts a new card in the place of this one, or show the form again."""
    on = local_day(viewer.at, found.zone)
    if form.is_valid():
        try:
            made = operation(card=found, by=viewer.person, on=on, at=viewer.at, **form.cleaned_data)
        except operations.StandInRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("The new card counts from today, and the old number counts no more."))
            return redirect("cards:card", number=made.number)
    return _form_page(request, template, form, found, on)


def _form_page(request: HttpRequest, template: str, form: Form, found: Card, on: date) -> HttpResponse:
    context = {"form": form, "face": queries.face(found, on=on), "page_has_errors": bool(form.errors)}
    return render(request, template, context)
