"""Pages where a roster is brought, looked over, applied and undone."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.people.access import Viewer, employers_seen_by, people_administered_by, viewer_for
from training.people.operations import Refused
from training.people.rules import Role
from training.rosters import access, forms, operations, queries
from training.rosters.models import Roster
from training.rosters.queries.words import of_file
from training.rosters.rules import NoHeads
from training.tables.code import XLSX, csv_lines, xlsx
from training.tables.rules import Unreadable


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest) -> HttpResponse:
    """Take a file, and list those brought lately."""
    viewer = viewer_for(request, at=timezone.now()).require(Role.ADMINISTRATOR)
    employers = employers_seen_by(viewer)
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = forms.BringForm(*sent, employers=employers)
    if form.is_valid():
        facts = form.cleaned_data
        try:
            kept = operations.bring(
                by=viewer.person,
                employer=facts["employer"],
                data=facts["file"].read(),
                is_everyone=facts["missing"] == forms.EVERYONE,
                on=viewer.on,
                at=viewer.at,
            )
        except (Unreadable, NoHeads) as fault:
            form.add_error("file", of_file(fault))
        else:
            return redirect("rosters:roster", kept.pk)
    brought = queries.brought(employers, at=viewer.at)
    context = {"form": form, "employers": employers, "brought": brought, "is_demo": settings.DEMO}
    return render(request, "training/rosters/index.html", context)


@require_safe
def roster(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show what a roster will do, or what it did."""
    viewer = viewer_for(request, at=timezone.now())
    return _page(request, viewer, access.roster_for(viewer, pk))


@require_POST
def answers(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Take the answers to what was asked, and look again."""
    viewer = viewer_for(request, at=timezone.now())
    kept = access.roster_for(viewer, pk)
    if kept.applied_at:
        return redirect("rosters:roster", pk)
    form = forms.AnswersForm(request.POST, page=queries.checked(kept, by=viewer.person, on=viewer.on))
    if not form.is_valid():
        return _page(request, viewer, kept, asks=form)
    operations.answer(roster=kept, answers=form.answers())
    return redirect("rosters:roster", pk)


@require_POST
def apply(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Do what was looked over."""
    viewer = viewer_for(request, at=timezone.now())
    kept = access.roster_for(viewer, pk)
    if kept.applied_at:
        messages.error(request, str(operations.AlreadyApplied().message))
        return redirect("rosters:roster", pk)
    form = forms.ApplyForm(request.POST, page=queries.checked(kept, by=viewer.person, on=viewer.on))
    if not form.is_valid():
        return _page(request, viewer, kept, confirm=form)
    try:
        operations.apply(by=viewer.person, roster=kept, seen=form.cleaned_data["seen"], on=viewer.on, at=viewer.at)
    except Refused as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, _("The roster is applied."))
    return redirect("rosters:roster", pk)


@require_http_methods(["GET", "HEAD", "POST"])
def undo(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Ask once, then take back what a roster did."""
    viewer = viewer_for(request, at=timezone.now())
    kept = access.roster_for(viewer, pk)
    if request.method != "POST":
        return render(request, "training/rosters/undo.html", {"roster": kept})
    try:
        operations.undo(by=viewer.person, roster=kept, on=viewer.on, at=viewer.at)
    except Refused as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, _("The roster is undone: everything is as it was before."))
    return redirect("rosters:roster", pk)


@require_POST
def drop(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Forget a file that was only looked over."""
    viewer = viewer_for(request, at=timezone.now())
    operations.drop(roster=access.roster_for(viewer, pk))
    messages.success(request, _("Nothing was changed, and nothing of the file is kept."))
    return redirect("rosters:index")


@require_safe
def empty(request: HttpRequest, kind: str) -> HttpResponseBase:
    """Send a roster with its heads only."""
    viewer_for(request, at=timezone.now()).require(Role.ADMINISTRATOR)
    return _file("roster", kind, queries.empty_lines())


@require_safe
def present(request: HttpRequest) -> HttpResponseBase:
    """Send the roster of today of one employer."""
    viewer = viewer_for(request, at=timezone.now())
    employer = access.employer_for(viewer, request.GET.get("employer", ""))
    lines = queries.present_lines(employer, by=viewer.person, on=viewer.on)
    return _file(f"roster-{employer.slug}-{viewer.on.isoformat()}", request.GET.get("kind", ""), lines)


@require_safe
def without_sign_in(request: HttpRequest) -> HttpResponse:
    """List who has an account and no way to sign in yet."""
    viewer = viewer_for(request, at=timezone.now())
    people = queries.without_sign_in(people_administered_by(viewer))
    return render(request, "training/rosters/without_sign_in.html", {"people": people})


def _page(request: HttpRequest, viewer: Viewer, kept: Roster, **sent: Any) -> HttpResponse:
    if kept.applied_at:
        page = queries.applied(kept, at=viewer.at)
        return render(request, "training/rosters/applied.html", {"roster": kept, "page": page})
    checked = queries.checked(kept, by=viewer.person, on=viewer.on)
    context = {
        "roster": kept,
        "page": checked,
        "asks": sent.get("asks") or forms.AnswersForm(page=checked),
        "confirm": sent.get("confirm") or forms.ApplyForm(page=checked),
        "bring": forms.BringForm(
            employers=employers_seen_by(viewer),
            initial={
                "employer": kept.employer_id,
                "missing": forms.EVERYONE if kept.is_everyone else forms.SOME,
            },
        ),
        "faulty": next(iter(sent.values()), None),
        "page_has_errors": bool(sent),
    }
    return render(request, "training/rosters/checked.html", context)


def _file(name: str, kind: str, lines: Iterable[tuple[str, ...]]) -> HttpResponseBase:
    if kind == "xlsx":
        file = xlsx(_("Roster"), queries.PRESENT_HEADS, lines)
        return FileResponse(file, as_attachment=True, filename=f"{name}.xlsx", content_type=XLSX)
    if kind != "csv":
        raise Http404
    # With the mark of byte order: a spreadsheet program sees UTF-8 by it.
    sent = csv_lines(queries.PRESENT_HEADS, lines, bom=True)
    response = StreamingHttpResponse(sent, content_type="text/csv; charset=utf-8; header=present")
    response["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return response
