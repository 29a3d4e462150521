"""The ledger, newest act first."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from certs.trail import queries
from certs.trail.forms import AskedForm
from training.keeping.access import keeper
from training.people.access import viewer_for


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List acts, narrowed down by what stands in the address."""
    keeper(viewer_for(request, at=timezone.now()))
    form = AskedForm(request.GET)
    page = queries.page(form.asked()) if form.is_valid() else None
    context = {"form": form, "page": page, "page_has_errors": page is None, "again": form.address()}
    return render(request, "certs/trail/index.html", context)
