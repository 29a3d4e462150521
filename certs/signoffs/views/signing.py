"""Signing filled sheets, one or several at one go, and sending one back."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from certs.signoffs import access, operations, queries
from certs.signoffs.forms import DoAgainForm, SigningForm
from training.people.access import Viewer, proof_of, spend_proof, viewer_for


@require_http_methods(["GET", "POST"])
def to_sign(request: HttpRequest) -> HttpResponse:
    """Sign several sheets at one go, the oldest first."""
    viewer = viewer_for(request, at=timezone.now())
    rows = queries.to_sign(viewer.person, access.people_to_sign_for(viewer), on=viewer.on)
    form = _form(request, viewer, rows, single=False)
    if form.is_bound and form.is_valid():
        return _sign(request, viewer, form)
    context = {"rows": rows, "form": form, "proof": proof_of(request)}
    return render(request, "certs/signoffs/to_sign.html", context)


@require_http_methods(["GET", "POST"])
def filled(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show a filled sheet and sign it."""
    viewer = viewer_for(request, at=timezone.now())
    received = access.open_sheet_for(viewer, pk)
    page = queries.filled(received, viewer.person, on=viewer.on)
    form = _form(request, access.sender(viewer) if request.method == "POST" else viewer, (page.row,), single=True)
    if form.is_bound and form.is_valid() and form.chosen:
        return _sign(request, viewer, form)
    if form.is_bound and page.signoff and page.signoff.assessor_id == viewer.person.pk:
        # The reply to the first time was lost on the way: it was kept, and here is the record.
        return redirect("signoffs:signoff", page.signoff.pk)
    status = 403 if form.is_bound and page.row.why_not else 200
    context = {"page": page, "form": form, "proof": proof_of(request)}
    return render(request, "certs/signoffs/filled.html", context, status=status)


def _form(request: HttpRequest, viewer: Viewer, rows: tuple[queries.ToSign, ...], *, single: bool) -> SigningForm:
    return SigningForm(
        request.POST if request.method == "POST" else None,
        sheets=rows,
        refusal=access.password_refusal(request, viewer),
        candidate_refusal=access.candidate_refusal(request),
        single=single,
        proved=proof_of(request).is_fresh,
    )


def _sign(request: HttpRequest, viewer: Viewer, form: SigningForm) -> HttpResponse:
    sheets = queries.received_sheets().in_bulk([row.pk for row, _how in form.chosen])
    done = operations.sign_sheets(
        sheets=[(sheets[row.pk], how) for row, how in form.chosen], assessor=viewer.person, at=viewer.at, on=viewer.on
    )
    spend_proof(request)
    for one in done:
        names = {"name": one.sheet.candidate.name, "why": " ".join(one.sentences)}
        if one.signoff is None:
            messages.error(request, _("Not signed: the sheet of %(name)s. %(why)s") % names)
        else:
            messages.success(request, _("Signed: the practical of %(name)s. The record is kept.") % names)
    if len(done) == 1:
        return _one(done[0])
    return redirect("signoffs:waiting")


def _one(done: operations.Signed) -> HttpResponse:
    if done.signoff is None:
        return redirect("signoffs:filled", done.sheet.pk)
    return redirect("signoffs:signoff", done.signoff.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def again(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Ask once and for the reason, then send a sheet back: the practical is done again."""
    viewer = access.sender(viewer_for(request, at=timezone.now()))
    received = access.filled_for(viewer, pk)
    form = DoAgainForm(request.POST if request.method == "POST" else None)
    if not form.is_valid():
        return render(request, "certs/signoffs/again.html", {"sheet": received, "form": form})
    try:
        operations.send_back(sheet=received, by=viewer.person, reason=form.cleaned_data["reason"], at=viewer.at)
    except operations.MayNotSign as refused:
        messages.error(request, str(refused))
        return redirect("signoffs:filled", pk)
    messages.success(request, _("Sent back. The practical is done again, and the reason is on record."))
    return redirect("signoffs:waiting")
