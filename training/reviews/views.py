"""The pages where keys are put right and marks are asked about."""

from collections.abc import Callable
from uuid import UUID

from django import forms as django_forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.bank.models import Correction
from training.people.access import Viewer, viewer_for
from training.reviews import access
from training.reviews.forms import AnswerForm, ApplyForm, AskForm, ProposeForm, RefuseForm
from training.reviews.models import Appeal
from training.reviews.operations import appealing, correcting
from training.reviews.queries import appeals, corrections, lists

either = require_http_methods(["GET", "HEAD", "POST"])


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the appeals and the corrections that wait, and those decided."""
    access.require_staff(viewer_for(request, at=timezone.now()))
    return render(request, "training/reviews/index.html", {"page": lists.index()})


@either
def correct(request: HttpRequest, key: str, version: int) -> HttpResponse:
    """Ask what is right instead; a POST proposes it and shows what it would do."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.version_for(viewer, key, version)
    form = ProposeForm(request.POST if request.method == "POST" else None, offers=corrections.offers(found))
    if form.is_valid():
        try:
            made = correcting.propose(
                version=found,
                change=form.change(),
                reason=form.cleaned_data["reason"],
                by=viewer.person,
                at=viewer.at,
            )
        except correcting.NotCorrected as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("It is proposed. Nothing is changed until a second person applies it."))
            return redirect("reviews:correction", made.pk)
    context = {"form": form, "version": found, "prompt": corrections.without_gaps(found.body["prompt"])}
    return render(request, "training/reviews/correct.html", context)


@require_safe
def correction(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a correction: every paper it touches with both marks, and whose result changes."""
    viewer = viewer_for(request, at=timezone.now())
    return _correction(request, viewer, access.correction_for(viewer, pk), RefuseForm())


def _correction(request: HttpRequest, viewer: Viewer, held: Correction, form: RefuseForm) -> HttpResponse:
    page = corrections.page(held, person=viewer.person)
    context = {"page": page, "form": form, "apply": ApplyForm(initial={"digest": page.digest})}
    return render(request, "training/reviews/correction.html", context)


@require_POST
def apply(request: HttpRequest, pk: int) -> HttpResponse:
    """Apply a correction as a second person: the papers on the list are marked again."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.correction_for(viewer, pk)
    form = ApplyForm(request.POST)
    digest = form.cleaned_data["digest"] if form.is_valid() else ""
    return _done(
        request,
        lambda: correcting.apply(correction=held, digest=digest, by=viewer.person, at=viewer.at),
        said=_("It is applied. The papers are marked again, and each holder is told."),
        to=("reviews:correction", pk),
    )


@require_POST
def refuse(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave the key as it is, with the reason."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.correction_for(viewer, pk)
    form = RefuseForm(request.POST)
    if not form.is_valid():
        return _correction(request, viewer, held, form)
    reason = form.cleaned_data["refusal"]
    return _done(
        request,
        lambda: correcting.refuse(correction=held, reason=reason, by=viewer.person, at=viewer.at),
        said=_("The key stays as it is."),
        to=("reviews:correction", pk),
    )


@either
def paper(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show what was asked about a paper of one's own; a POST asks."""
    viewer = viewer_for(request, at=timezone.now())
    sitting = access.own_paper_for(viewer, pk)
    page = appeals.own_page(sitting, on=viewer.on)
    form = AskForm(request.POST if request.method == "POST" else None, questions=page.questions)
    if form.is_valid():
        try:
            made = appealing.ask(
                sitting=sitting,
                position=form.position,
                reason=form.cleaned_data["reason"],
                by=viewer.person,
                at=viewer.at,
                on=viewer.on,
            )
        except appealing.NotAppealed as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("It is asked. Someone who had no part in your paper will look at it."))
            return redirect("reviews:appeal", made.pk)
    return render(request, "training/reviews/paper.html", {"page": page, "form": form})


@require_safe
def appeal(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an appeal: where it stands, both marks, the answer."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.appeal_for(viewer, pk)
    return _appeal(request, viewer, held, None)


def _appeal(request: HttpRequest, viewer: Viewer, held: Appeal, form: django_forms.Form | None) -> HttpResponse:
    page = appeals.page(held, person=viewer.person, is_staff=access.answers(viewer))
    if form is None and page.may_answer:
        form = AnswerForm(lines=page.parts)
    return render(request, "training/reviews/appeal.html", {"page": page, "form": form})


@require_POST
def take(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an appeal that waits."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.appeal_to_answer_for(viewer, pk)
    return _done(
        request,
        lambda: appealing.take(appeal=held, by=viewer.person, at=viewer.at, on=viewer.on),
        said=_("It is yours. Look at it again and write the answer."),
        to=("reviews:appeal", pk),
    )


@require_POST
def answer(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer an appeal of one's own list."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.appeal_to_answer_for(viewer, pk)
    form = AnswerForm(request.POST, lines=appeals.lines(held))
    if not form.is_valid():
        return _appeal(request, viewer, held, form)
    return _done(
        request,
        lambda: appealing.answer(
            appeal=held,
            upheld=form.upheld,
            words=form.cleaned_data["words"],
            shares=form.shares,
            by=viewer.person,
            at=viewer.at,
        ),
        said=_("It is answered. The candidate sees the answer."),
        to=("reviews:appeal", pk),
    )


def _done(request: HttpRequest, act: Callable[[], object], *, said: str, to: tuple[str, int]) -> HttpResponse:
    """Do one thing, say what came of it, and go on."""
    try:
        act()
    except (correcting.NotCorrected, appealing.NotAppealed) as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, said)
    return redirect(*to)
