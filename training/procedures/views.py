"""Pages of the procedures room."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from training.bank.forms import SheetForm, typed
from training.bank.operations import AskAgain
from training.people.access import viewer_for
from training.procedures import forms, operations, pdf, queries
from training.procedures.access import drawing_for, pair_for, revision_for
from training.procedures.forms import HoldForm, ReadingForm
from training.procedures.queries import Page


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the procedures and where the reader stands with each."""
    viewer = viewer_for(request, at=timezone.now())
    return render(request, "training/procedures/index.html", {"lines": queries.index(viewer.person)})


@require_safe
def module(request: HttpRequest, slug: str) -> HttpResponse:
    """Show a procedure: the revision in force, or an older one marked as such."""
    viewer = viewer_for(request, at=timezone.now())
    revision = revision_for(slug, request.GET.get("revision", ""))
    return _module(request, queries.page(revision, person=viewer.person))


def _module(request: HttpRequest, page: Page, *, refused: SheetForm | None = None) -> HttpResponse:
    context = {
        "page": page,
        "form": ReadingForm(initial={"revision": page.number}),
        "asks": forms.asked(page.holds, refused=refused),
        "refused": refused,
    }
    return render(request, "training/procedures/module.html", context)


@require_safe
def drawing(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Send a drawing of the revision in force, or of the one asked for."""
    svg = drawing_for(slug, name, request.GET.get("revision", ""))
    return HttpResponse(svg, content_type="image/svg+xml", headers={"X-Content-Type-Options": "nosniff"})


@require_safe
def kept(request: HttpRequest, slug: str) -> HttpResponse:
    """Send what a revision says, for keeping on a phone: the same bytes for everyone, so made without the request."""
    revision = revision_for(slug, request.GET.get("revision", ""))
    with translation.override(revision.language):
        page = queries.text(revision)
        return HttpResponse(render_to_string("training/procedures/kept.html", {"page": page}))


@require_safe
def print_edition(request: HttpRequest, slug: str) -> HttpResponse:
    """Send the booklet of the revision in force, or of the one asked for."""
    revision = revision_for(slug, request.GET.get("revision", ""))
    name = f"{slug}-{revision.number}.pdf"
    disposition = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(pdf.render(revision), content_type="application/pdf", headers=disposition)


@require_safe
def changes(request: HttpRequest, slug: str) -> HttpResponse:
    """Show what differs between two revisions, by default the one in force and the one before."""
    viewer = viewer_for(request, at=timezone.now())
    older, newer = pair_for(slug, request.GET.get("from", ""), request.GET.get("to", ""))
    page = queries.compared(older, newer, person=viewer.person)
    return render(request, "training/procedures/changes.html", {"page": page})


@require_POST
def hold(request: HttpRequest, slug: str, step: str) -> HttpResponse:
    """Take the answer to a question at a hold point; what cannot be read is asked for again, nothing typed lost."""
    viewer = viewer_for(request, at=timezone.now())
    sent = HoldForm(request.POST)
    again = redirect(f"{reverse('procedures:module', args=[slug])}#ask-{step}")
    if not sent.is_valid():
        messages.error(request, _("Open the procedure and answer the question on its page."))
        return redirect("procedures:module", slug)
    revision = revision_for(slug, str(sent.cleaned_data["revision"]))
    page = queries.page(revision, person=viewer.person)
    point = forms.answered(page.holds, sent.cleaned_data, step)
    if point is None:
        messages.warning(request, _("That question was answered already, or has changed. This is where you are now."))
        return again
    answers = typed(point, request.POST)
    facts = {"step": step, "version": point.version, "turn": point.turn, "answers": answers, "at": viewer.at}
    try:
        operations.answer_hold(person=viewer.person, revision=revision, **facts)
    except AskAgain as error:
        form = SheetForm(point, answers)
        form.ask_again(error.problems)
        return _module(request, page, refused=form)
    except (operations.Superseded, operations.Withdrawn, operations.OutOfTurn):
        messages.warning(request, _("That question was answered already, or has changed. This is where you are now."))
    return again


@require_POST
def read(request: HttpRequest, slug: str) -> HttpResponse:
    """Record that the reader has read the revision that was on the page."""
    viewer = viewer_for(request, at=timezone.now())
    form = ReadingForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Open the procedure, read it, then press the button at its end."))
        return redirect("procedures:module", slug)
    revision = revision_for(slug, str(form.cleaned_data["revision"]))
    try:
        operations.record_reading(person=viewer.person, revision=revision, at=viewer.at)
    except operations.Superseded:
        messages.warning(request, _("A newer revision came in while you were reading. Read what changed, then say so."))
    except operations.Withdrawn:
        messages.warning(request, _("This procedure is no longer in use. Nothing was recorded."))
    except operations.HoldsOpen as error:
        messages.warning(request, _("Answer the questions at the hold points first. Nothing was recorded yet."))
        return redirect(f"{reverse('procedures:module', args=[slug])}#{error.step}")
    else:
        words = _("Recorded: you have read revision %(number)d of %(title)s.")
        messages.success(request, words % {"number": revision.number, "title": revision.title})
    return redirect("procedures:module", slug)
