"""The pages about how the questions do."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from training.analysis import access, queries
from training.people.access import viewer_for


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the papers that have been sat."""
    access.require_reader(viewer_for(request, at=timezone.now()))
    return render(request, "training/analysis/index.html", {"lines": queries.index()})


@require_safe
def paper(request: HttpRequest, slug: str) -> HttpResponse:
    """Show how one paper and its questions do."""
    issue = access.paper_for(viewer_for(request, at=timezone.now()), slug)
    return render(request, "training/analysis/paper.html", {"page": queries.page(issue)})
