"""The pages about how the questions do."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from training.analysis import access, pdf, queries
from training.people.access import viewer_for
from training.procedures.forms import FindForm


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the papers that have been sat."""
    access.require_reader(viewer_for(request, at=timezone.now()))
    return render(request, "training/analysis/index.html", {"lines": queries.index()})


@require_safe
def paper(request: HttpRequest, slug: str) -> HttpResponse:
    """Show how one paper and its questions do."""
    issue = access.paper_for(viewer_for(request, at=timezone.now()), slug)
    page, form = queries.page(issue), FindForm(request.GET)
    form.full_clean()
    lines = page.found(**form.cleaned_data, number=request.GET.get("page", ""))
    return render(request, "training/analysis/paper.html", {"page": page, "form": form, "lines": lines})


@require_safe
def paper_pdf(request: HttpRequest, slug: str) -> HttpResponse:
    """Send the report on one paper."""
    viewer = viewer_for(request, at=timezone.now())
    return _sent(pdf.paper(access.paper_for(viewer, slug), at=viewer.at), slug)


@require_safe
def question(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Show how one version of a question does on a paper, by default the newest."""
    viewer = viewer_for(request, at=timezone.now())
    issue, version = access.paper_for(viewer, slug), access.version_for(viewer, key, request.GET.get("version", ""))
    context = {"report": queries.report(issue, version), "across": viewer.across}
    return render(request, "training/analysis/report.html", context)


@require_safe
def question_pdf(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Send the report on one version of a question on a paper."""
    viewer = viewer_for(request, at=timezone.now())
    issue, version = access.paper_for(viewer, slug), access.version_for(viewer, key, request.GET.get("version", ""))
    return _sent(pdf.question(issue, version, at=viewer.at), f"{key}-{version.version}")


def _sent(made: bytes, name: str) -> HttpResponse:
    disposition = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(made, content_type="application/pdf", headers=disposition)
