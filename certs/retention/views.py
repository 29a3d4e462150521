"""What is held on oneself, a copy of it, and erasing a person."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from certs.retention import access, operations, queries
from certs.retention.forms import EraseForm
from training.people.access import viewer_for


@require_safe
def own(request: HttpRequest) -> HttpResponse:
    """Say what is held on whoever asks, how long and why, and who acted on it."""
    viewer = viewer_for(request, at=timezone.now())
    context = {"page": queries.own(viewer.person)}
    return render(request, "certs/retention/own.html", context)


@require_safe
def copy(request: HttpRequest) -> HttpResponse:
    """Send everything held on whoever asks, as JSON."""
    viewer = viewer_for(request, at=timezone.now())
    made = queries.copy(viewer.person, at=viewer.at)
    response = JsonResponse(made, json_dumps_params={"indent": 1, "ensure_ascii": False})
    response["Content-Disposition"] = 'attachment; filename="held.json"'
    response["Cache-Control"] = "no-store"
    return response


@require_http_methods(["GET", "HEAD", "POST"])
def erase(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what stands against erasing a person's name, or erase it."""
    viewer = viewer_for(request, at=timezone.now())
    person = access.person_to_erase(viewer, pk)
    form = EraseForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        reference = form.cleaned_data["reference"].strip()
        try:
            operations.erase(person=person, by=viewer.person, reference=reference, on=viewer.on, at=viewer.at)
        except operations.NotErased as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, _("Erased. What stays names a number."))
            return redirect("people:person", pk=person.pk)
    page = queries.to_erase(person, on=viewer.on, at=viewer.at)
    context = {"person": person, "form": form, "page": page, "page_has_errors": bool(form.errors)}
    return render(request, "certs/retention/erase.html", context)
