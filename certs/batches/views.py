"""Pages of printing many cards."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.batches import access, operations, queries
from certs.batches.forms import BatchForm, FilterForm
from certs.board.forms import choices_of
from certs.cards.pdf import Layout
from certs.cards.queries import KeyUnavailable
from training.people.access import viewer_for


@require_http_methods(["GET", "POST"])
def index(request: HttpRequest) -> HttpResponse:
    """Choose cards by the filters of the board, then ask for them to be printed together."""
    viewer = viewer_for(request, at=timezone.now())
    people = access.people_printed_by(viewer)
    filters = FilterForm(request.GET, **choices_of(viewer))
    asked, place = filters.asked(), {name: request.GET.get(name, "") for name in ("before", "after")}
    choices = queries.choices(people, asked, at=viewer.at, **place)
    typed = request.POST if request.method == "POST" else None
    form = BatchForm(typed, numbers=[row.number for row in choices.rows if row.printable])
    if form.is_valid():
        facts = form.cleaned_data
        numbers = queries.all_choices(people, asked, at=viewer.at) if facts["everyone"] else facts["numbers"]
        try:
            batch = operations.ask(
                by=viewer.person,
                chosen=queries.cards_numbered(people, numbers),
                layout=Layout(facts["layout"]),
                language=facts["language"],
                at=viewer.at,
            )
        except operations.BatchRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            return _going_on(batch.pk)
    context = {
        "filters": filters,
        "form": form,
        "choices": choices,
        "across": viewer.across,
        "batches": queries.batches_of(viewer.person),
    }
    return render(request, "certs/batches/index.html", context)


@require_safe
def batch(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show how far a batch is; with `goes` in the address, the page asks for the next step by itself."""
    viewer = viewer_for(request, at=timezone.now())
    return _batch_page(
        request, queries.shown(access.batch_for(viewer, pk), at=viewer.at), goes_on="goes" in request.GET
    )


@require_safe
def pdf(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Send the print of a batch that is made; one that is not leads back to its page."""
    found = access.batch_for(viewer_for(request, at=timezone.now()), pk)
    if found.made_at is None:
        messages.error(request, _("This print is not made yet."))
        return redirect("batches:batch", pk=pk)
    response = HttpResponse(bytes(found.pdf), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="cards-{found.asked_at:%Y-%m-%d}.pdf"'
    return response


@require_POST
def advance(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Print the next step."""
    return _advanced(request, pk)


@require_safe
def going(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Print the next step for a browser without script, whose page can only ask again by itself for an address.

    It changes nothing but how far a print is that its owner started: asked for twice, it is done once.
    """
    return _advanced(request, pk)


def _advanced(request: HttpRequest, pk: UUID) -> HttpResponse:
    viewer = viewer_for(request, at=timezone.now())
    found = access.batch_for(viewer, pk)
    try:
        operations.advance(batch=found, at=viewer.at)
    except (operations.NotKept, KeyUnavailable) as refusal:
        messages.error(request, str(refusal))
        # The page that says so does not ask again by itself.
        return _batch_page(request, queries.shown(found, at=viewer.at), goes_on=False)
    return _going_on(pk)


@require_POST
def stop(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Stop, and keep what is printed."""
    viewer = viewer_for(request, at=timezone.now())
    operations.stop(batch=access.batch_for(viewer, pk), at=viewer.at)
    return redirect("batches:batch", pk=pk)


@require_POST
def resume(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Go on with what is left."""
    operations.resume(batch=access.batch_for(viewer_for(request, at=timezone.now()), pk))
    return _going_on(pk)


@require_http_methods(["GET", "HEAD", "POST"])
def throw_away(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Ask once, then throw the print away; the cards stay."""
    held = access.batch_for(viewer_for(request, at=timezone.now()), pk)
    if request.method != "POST":
        return render(request, "certs/batches/throw_away.html", {"batch": held})
    operations.throw_away(batch=held)
    messages.success(request, _("The print is thrown away. The cards stay as they are."))
    return redirect("batches:index")


def _going_on(pk: UUID) -> HttpResponse:
    return redirect(f"{reverse('batches:batch', kwargs={'pk': pk})}?goes=on")


def _batch_page(request: HttpRequest, shown: queries.Shown, *, goes_on: bool) -> HttpResponse:
    context = {"shown": shown, "progress": shown.progress, "goes_on": goes_on}
    return render(request, "certs/batches/batch.html", context)
