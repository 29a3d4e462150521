"""Pages of the sign-offs room."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import UUIDField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from certs.cards.operations import CardRefused
from certs.signoffs import access, operations, queries
from certs.signoffs.forms import DecisionForm, ExceptionForm, SheetForm, count_of, fresh
from certs.signoffs.rules import Sheet
from training.people.access import Viewer, viewer_for

NOT_PASSED = "not passed"


@require_GET
def waiting(request: HttpRequest) -> HttpResponse:
    """List what waits for a signature, a decision or an approval."""
    viewer = viewer_for(request, at=timezone.now())
    people = access.people_who_wait_for(viewer)
    page = queries.waiting(viewer.person, people, on=viewer.on)
    return render(request, "certs/signoffs/waiting.html", {"page": page})


@require_http_methods(["GET", "POST"])
def sheet(request: HttpRequest, person: int, scheme: str) -> HttpResponse:
    """Fill in a sheet, work it out, and sign it."""
    viewer = viewer_for(request, at=timezone.now())
    page = access.sheet_for(viewer, person, scheme, replaces=_uuid(request.GET.get("replaces", "")))
    if request.method == "GET":
        return _sheet(request, page, fresh(page, count=count_of(request.GET.get("bonds", ""), page=page)))
    act = request.POST.get("act", "sign")
    count = count_of(request.POST.get("bonds", ""), page=page)
    refusal = access.password_refusal(request, viewer) if act == "sign" else None
    form = SheetForm(request.POST, page=page, count=count, refusal=refusal)
    if act == "add":
        more = count_of(str(count), page=page, more=1)
        return _sheet(request, page, SheetForm(page=page, count=more, initial=form.typed() | {"bonds": more}))
    if not form.is_valid() or act != "sign" or form.sheet is None or form.worked is None:
        return _sheet(request, page, form)
    if not form.worked.outcome.passed and form.cleaned_data["agreed"] != NOT_PASSED:
        form.add_error(None, _("As written, this practical is not passed. Put right what is mistyped, or sign again."))
        return _sheet(request, page, form)
    return _sign(request, viewer, page, form, form.sheet)


def _sign(
    request: HttpRequest, viewer: Viewer, page: queries.SheetPage, form: SheetForm, written: Sheet
) -> HttpResponse:
    try:
        signoff = operations.sign_off(
            candidate=page.candidate,
            scheme_issue=page.issue,
            assessor=viewer.person,
            sheet=written,
            at=viewer.at,
            on=viewer.on,
        )
    except operations.Refused as refused:
        return _sheet(request, page, form, refused=refused.sentences)
    except CardRefused as refused:
        form.add_error(None, str(refused))
    else:
        messages.success(request, _("Signed. The record is kept."))
        return redirect("signoffs:signoff", signoff.pk)
    return _sheet(request, page, form)


def _sheet(
    request: HttpRequest, page: queries.SheetPage, form: SheetForm, *, refused: tuple[str, ...] = ()
) -> HttpResponse:
    """Show the sheet, with why it may not be signed; what was typed stays unless nothing typed could mend that."""
    why_not = refused or page.why_not
    context = {"page": page, "form": form, "why_not": why_not, "agreed": NOT_PASSED}
    status = 403 if why_not and request.method == "POST" else 200
    return render(request, "certs/signoffs/sheet.html", context, status=status)


def _uuid(typed: str) -> UUID | None:
    """Return the number of a record from an address, or None for anything else."""
    try:
        found: UUID | None = UUIDField(required=False).clean(typed)
    except ValidationError:
        return None
    return found


@require_GET
def signoff(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show a signed record."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.record_for(viewer, pk)
    context = {
        "record": queries.record(found, viewer=viewer.person, on=viewer.on),
        "shows_marks": access.shows_marks(viewer, found),
        "may_correct": access.may_correct(viewer, found),
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
    return render(request, "certs/signoffs/exception.html", {"page": page, "form": form})


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
