"""The pages of double marking."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from certs.agreement import access, operations, queries
from certs.agreement.forms import MarkForm
from training.people.access import people_seen_by, viewer_for


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show how far assessors agree on each step, and the practicals that wait for a second assessor."""
    viewer = access.require_staff(viewer_for(request, at=timezone.now()))
    page = queries.index(viewer.person, people_seen_by(viewer), on=viewer.on)
    return render(request, "certs/agreement/index.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def mark(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show a practical without its marks; a POST keeps those of the second assessor."""
    viewer = viewer_for(request, at=timezone.now())
    signoff = access.practical_for(viewer, pk)
    page = queries.blind(signoff, viewer.person, on=viewer.on)
    form = MarkForm(request.POST if request.method == "POST" else None, checks=page.checks)
    if form.is_valid():
        try:
            operations.mark_again(
                signoff=signoff,
                by=viewer.person,
                how=form.how,
                marks=form.marks,
                remarks=form.cleaned_data["remarks"],
                at=viewer.at,
                on=viewer.on,
            )
        except operations.MayNotMark as refusal:
            for sentence in refusal.sentences:
                form.add_error(None, sentence)
        else:
            messages.success(request, _("It is kept. It changes no result; it says how far two assessors agree."))
            return redirect("agreement:index")
    return render(request, "certs/agreement/mark.html", {"page": page, "form": form})
