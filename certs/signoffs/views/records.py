"""What waits, the signed record, exceptions, decisions, and how sharp a scheme's rule is."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from certs.cards.operations import CardRefused
from certs.signoffs import access, operations, queries
from certs.signoffs.forms import DecisionForm, ExceptionForm, RefusalForm
from training.people.access import viewer_for


@require_GET
def waiting(request: HttpRequest) -> HttpResponse:
    """List what waits for a signature, a decision or an approval."""
    viewer = viewer_for(request, at=timezone.now())
    people = access.people_who_wait_for(viewer)
    desk = queries.desk(viewer.person, people, on=viewer.on)
    return render(request, "certs/signoffs/waiting.html", {"page": desk.waiting, "sheets": desk.sheets})


@require_GET
def rule(request: HttpRequest, slug: str) -> HttpResponse:
    """Show how often crews of each quality pass a scheme's rule."""
    issue = access.rule_for(viewer_for(request, at=timezone.now()), slug)
    return render(request, "certs/signoffs/rule.html", {"page": queries.rule(issue)})


@require_GET
def signoff(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show a signed record."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.record_for(viewer, pk)
    sealed = access.is_sealed(viewer, found)
    context = {
        "record": queries.record(found, viewer=viewer.person, on=viewer.on),
        "sealed": access.SEALED if sealed else "",
        "shows_marks": access.shows_marks(viewer, found),
        "may_correct": not sealed and access.may_correct(viewer, found),
    }
    return render(request, "certs/signoffs/signoff.html", context)


@require_http_methods(["GET", "POST"])
def exception(request: HttpRequest, person: int, scheme: str) -> HttpResponse:
    """Declare an exception."""
    viewer = viewer_for(request, at=timezone.now())
    page = access.sheet_for(viewer, person, scheme)
    form = ExceptionForm(request.POST or None)
    if form.is_valid():
        try:
            operations.declare_exception(
                candidate=page.candidate,
                scheme_issue=page.issue,
                assessor=viewer.person,
                why=form.cleaned_data["why"],
                safeguard=form.cleaned_data["safeguard"],
                at=viewer.at,
                on=viewer.on,
            )
        except operations.NoException as refused:
            form.add_error(None, list(refused.sentences))
        else:
            messages.success(request, _("The exception is on record. It waits for a third person's approval."))
            return redirect("signoffs:waiting")
    context = {
        "page": page,
        "form": form,
        "others": queries.who_else(page.candidate, page.issue.scheme, on=viewer.on),
    }
    return render(request, "certs/signoffs/exception.html", context)


@require_POST
def approve(request: HttpRequest, pk: int) -> HttpResponse:
    """Approve an exception as the third person."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.exception_for_approval(viewer, pk)
    try:
        operations.approve_exception(exception=found, by=viewer.person, at=viewer.at, on=viewer.on)
    except operations.NoException as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Approved. It is shown on the record that is signed under it."))
    return redirect("signoffs:waiting")


@require_http_methods(["GET", "HEAD", "POST"])
def refuse(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once and for the reason, then refuse an exception as the third person."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.exception_for_approval(viewer, pk)
    form = RefusalForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        reason = form.cleaned_data["reason"]
        try:
            operations.refuse_exception(exception=found, by=viewer.person, reason=reason, at=viewer.at, on=viewer.on)
        except operations.NoException as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, _("Refused. The reason is on record, and the assessor reads it."))
        return redirect("signoffs:waiting")
    row = queries.one_asked(found, viewer.person, on=viewer.on)
    if row.why_not:
        messages.error(request, " ".join(row.why_not))
        return redirect("signoffs:waiting")
    return render(request, "certs/signoffs/refuse.html", {"row": row, "form": form})


@require_http_methods(["GET", "POST"])
def decide(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Grant or refuse the card a practical waits for."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.decidable_record_for(viewer, pk)
    record = queries.record(found, viewer=viewer.person, on=viewer.on)
    form = DecisionForm(request.POST or None)
    refused: tuple[str, ...] = ()
    if form.is_valid():
        try:
            operations.decide(
                signoff=found,
                by=viewer.person,
                granted=form.cleaned_data["granted"] == "yes",
                reasons=form.cleaned_data["reasons"],
                at=viewer.at,
                on=viewer.on,
            )
        except operations.MayNotDecide as refusal:
            refused = refusal.sentences
        except CardRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("The decision is on record."))
            return redirect("signoffs:signoff", pk)
    context = {"record": record, "form": form, "why_not": refused or record.why_not_decide}
    return render(request, "certs/signoffs/decide.html", context, status=403 if refused else 200)
