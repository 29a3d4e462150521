"""The pages where calculation questions are written, looked at and taken into use."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.drafts import access, operations, queries, rules
from training.drafts.forms import EDITS, ChooseForm, DraftForm, RetireForm, UseForm
from training.drafts.models import Draft
from training.people.access import viewer_for
from training.procedures.forms import FindForm
from training.procedures.queries import topics

either = require_http_methods(["GET", "HEAD", "POST"])


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List drafts and calculation questions."""
    access.require_author(viewer_for(request, at=timezone.now()))
    form = FindForm(request.GET)
    form.full_clean()
    page = queries.index(**form.cleaned_data, number=request.GET.get("page", ""))
    return render(request, "training/drafts/index.html", {"form": form, "page": page})


@either
def new(request: HttpRequest) -> HttpResponse:
    """Show the catalogue; choosing a computation begins a draft."""
    viewer = access.require_author(viewer_for(request, at=timezone.now()))
    form = ChooseForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        draft = operations.begin(computation=form.cleaned_data["computation"], by=viewer.person, at=viewer.at)
        return redirect("drafts:edit", draft.pk)
    return render(request, "training/drafts/new.html", {"form": form, "subjects": queries.catalogue()})


@either
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a draft; keep what was typed, whichever button sent it."""
    viewer = viewer_for(request, at=timezone.now())
    draft = access.draft_for(viewer, pk)
    if not rules.output_unit(draft.computation):
        messages.error(request, _("The computation of this draft has left the catalogue. Begin it anew with another."))
        return redirect("drafts:discard", pk)
    if request.method == "POST":
        typed = rules.typed(dict(request.POST.lists()), draft.computation)
        typed, goes_to = rules.pressed(typed, request.POST.get("act", ""))
        edits = rules.count(request.POST.get(EDITS, ""))
        try:
            operations.keep(draft=draft, typed=typed, edits=edits, by=viewer.person, at=viewer.at)
        except operations.Stale as stale:
            return _form(request, draft, typed, edits=stale.edits, mistakes=[rules.Objection("", str(stale))])
        except operations.Gone:
            return _gone(request)
        return _after(request, draft, goes_to)
    mistakes = queries.check(draft).mistakes if "check" in request.GET else ()
    return _form(request, draft, draft.typed, edits=draft.edits, mistakes=mistakes)


def _form(
    request: HttpRequest, draft: Draft, typed: rules.Typed, *, edits: int, mistakes: list[rules.Objection]
) -> HttpResponse:
    form = DraftForm(draft, typed, edits=edits, topics=topics(), steps=queries.steps())
    form.bear(mistakes)
    return render(request, "training/drafts/edit.html", {"form": form, "draft": draft})


def _after(request: HttpRequest, draft: Draft, goes_to: str) -> HttpResponse:
    if goes_to == rules.DRAWS_PAGE:
        return redirect("drafts:draws", draft.pk)
    if not goes_to:
        messages.success(request, _("The draft is kept."))
    return redirect(reverse("drafts:edit", args=[draft.pk]) + (f"#id_{goes_to}" if goes_to else ""))


@either
def draws(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what candidates would get; a draft with mistakes goes back to its page. POST takes it into use."""
    viewer = viewer_for(request, at=timezone.now())
    draft = access.draft_for(viewer, pk)
    checked = queries.check(draft)
    if checked.spec is None:
        return _mistakes(draft)
    posted = request.POST if request.method == "POST" else None
    form = UseForm(posted, asks=draft.version > 1, initial={"digest": checked.spec.digest})
    if form.is_valid():
        return _use(request, draft, form, viewer)
    context = {"form": form, "draft": draft, "preview": queries.preview(checked.spec)}
    return render(request, "training/drafts/draws.html", context)


def _mistakes(draft: Draft) -> HttpResponse:
    return redirect(reverse("drafts:edit", args=[draft.pk]) + "?check=1#main")


def _use(request: HttpRequest, draft: Draft, form: UseForm, viewer: access.Viewer) -> HttpResponse:
    facts = {"digest": form.cleaned_data["digest"], "changed": form.cleaned_data.get("changed", "")}
    try:
        made = operations.take_into_use(draft=draft, **facts, by=viewer.person, at=viewer.at)
    except operations.Gone:
        return _gone(request)
    except operations.Unsound:
        messages.error(request, _("It was not taken into use: the check does not pass."))
        return redirect("drafts:draws", draft.pk)
    except operations.Outdated:
        messages.warning(request, _("The draft has changed since you saw its draws. Look at these, then take it."))
        return redirect("drafts:draws", draft.pk)
    words = _("Version %(version)d of %(key)s is in use: papers opened from now on may draw it.")
    messages.success(request, words % {"version": made.version, "key": made.question.key})
    return redirect("drafts:version", made.question.key, made.version)


def _gone(request: HttpRequest) -> HttpResponse:
    messages.info(request, _("The draft is no longer there: it was taken into use or thrown away."))
    return redirect("drafts:index")


@either
def discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once, then throw the draft away."""
    draft = access.draft_for(viewer_for(request, at=timezone.now()), pk)
    if request.method == "POST":
        try:
            operations.discard(draft=draft)
        except operations.Gone:
            return _gone(request)
        messages.success(request, _("The draft is thrown away."))
        return redirect("drafts:index")
    return render(request, "training/drafts/discard.html", {"draft": draft})


@require_safe
def version(request: HttpRequest, key: str, version: int) -> HttpResponse:
    """Show one version of a question."""
    found = access.version_for(viewer_for(request, at=timezone.now()), key, version)
    return render(request, "training/drafts/version.html", {"page": queries.version_page(found)})


@require_safe
def toml(request: HttpRequest, key: str, version: int) -> HttpResponse:
    """Send one version as the text of a file of content."""
    found = access.version_for(viewer_for(request, at=timezone.now()), key, version)
    name = f'attachment; filename="{key}-v{version}.toml"'
    return HttpResponse(queries.text(found), content_type="application/toml", headers={"Content-Disposition": name})


@require_POST
def revise(request: HttpRequest, key: str, version: int) -> HttpResponse:
    """Begin the next version of a question, or go on with the one begun."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.version_for(viewer, key, version)
    try:
        draft = operations.revise(version=found, by=viewer.person, at=viewer.at)
    except operations.KeptInFiles as refusal:
        messages.error(request, str(refusal))
        return redirect("drafts:version", key, version)
    return redirect("drafts:edit", draft.pk)


@either
def retire(request: HttpRequest, key: str, version: int) -> HttpResponse:
    """Ask for the reason, then take the question out of use."""
    viewer = viewer_for(request, at=timezone.now())
    found = access.version_for(viewer, key, version)
    form = RetireForm(request.POST if request.method == "POST" else None)
    if not form.is_valid():
        return render(request, "training/drafts/retire.html", {"form": form, "found": found})
    try:
        reason = form.cleaned_data["reason"]
        operations.retire(question=found.question, reason=reason, by=viewer.person, at=viewer.at)
    except operations.KeptInFiles as refusal:
        messages.error(request, str(refusal))
    except operations.RetiredAlready:
        messages.info(request, _("The question is retired already."))
    else:
        messages.success(request, _("The question is retired: no new paper draws it."))
    return redirect("drafts:version", key, version)
