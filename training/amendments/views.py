"""The pages where procedures are amended, looked at and put in force."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.amendments import access, operations, queries, rules
from training.amendments.forms import AddForm, ApproveForm, MoveForm, PartsForm, RefuseForm, StepForm
from training.amendments.models import Amendment
from training.amendments.rules import Move, Objection, State
from training.people.access import Viewer, viewer_for

either = require_http_methods(["GET", "HEAD", "POST"])
CHECK = "?check=1#main"


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the procedures in use with their open amendments, and what was decided."""
    viewer = access.require_editor(viewer_for(request, at=timezone.now()))
    return render(request, "training/amendments/index.html", {"page": queries.index(viewer.person)})


@require_POST
def begin(request: HttpRequest, slug: str) -> HttpResponse:
    """Begin an amendment of the revision in force, or open the one begun."""
    viewer = viewer_for(request, at=timezone.now())
    return _begin(request, viewer, slug, again=None)


@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin again with the text of a refused amendment."""
    viewer = viewer_for(request, at=timezone.now())
    refused = access.own_refused_for(viewer, pk)
    return _begin(request, viewer, refused.module.slug, again=refused)


def _begin(request: HttpRequest, viewer: Viewer, slug: str, *, again: Amendment | None) -> HttpResponse:
    base = access.revision_for(viewer, slug)
    try:
        made = operations.begin(base=base, by=viewer.person, at=viewer.at, again=again)
    except operations.Taken as taken:
        messages.info(request, str(taken))
        made = taken.amendment
    except operations.Unready as unready:
        messages.error(request, str(unready))
        return redirect("amendments:index")
    return redirect("amendments:amendment", made.pk)


@require_safe
def toml(request: HttpRequest, slug: str) -> HttpResponse:
    """Send the revision in force as the text of its file of content."""
    revision = access.revision_for(viewer_for(request, at=timezone.now()), slug)
    name = {"Content-Disposition": 'attachment; filename="procedure.toml"'}
    return HttpResponse(queries.text(revision), content_type="application/toml", headers=name)


@require_safe
def amendment(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an amendment: where it stands, its steps and its mistakes."""
    viewer = viewer_for(request, at=timezone.now())
    return _amendment(request, viewer, access.amendment_for(viewer, pk), RefuseForm())


def _amendment(request: HttpRequest, viewer: Viewer, held: Amendment, form: RefuseForm) -> HttpResponse:
    page = queries.page(held, person=viewer.person)
    return render(request, "training/amendments/amendment.html", {"page": page, "form": form})


@either
def parts(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what changed and the parts beside the steps; keep what was typed, right or wrong."""
    held = access.own_amendment_for(viewer_for(request, at=timezone.now()), pk)
    if request.method == "POST":
        sent = dict(request.POST.lists())
        typed, words = rules.parts_typed(sent), rules.word(sent, "changed")
        try:
            kept = operations.keep_parts(amendment=held, parts=typed, what_changed=words)
        except operations.Closed as closed:
            return _parts(request, held, PartsForm(typed, words), [Objection("", "", str(closed))])
        return _kept(request, kept, "", reverse("amendments:parts", args=[pk]))
    form = PartsForm(held.body, held.what_changed)
    return _open(request, held) or _parts(request, held, form, _objections(request, held, ""))


def _parts(request: HttpRequest, held: Amendment, form: PartsForm, objections: list[Objection]) -> HttpResponse:
    form.bear(objections)
    return render(request, "training/amendments/parts.html", {"form": form, "amendment": held})


@either
def step(request: HttpRequest, pk: int, slug: str) -> HttpResponse:
    """Show one step; keep what was typed, right or wrong."""
    held, found = access.own_step_for(viewer_for(request, at=timezone.now()), pk, slug)
    if request.method == "POST":
        found = rules.step_typed(dict(request.POST.lists()), slug)
        try:
            kept = operations.keep_step(amendment=held, step=found)
        except operations.Closed as closed:
            return _step(request, held, found, [Objection("", "", str(closed))])
        return _kept(request, kept, slug, reverse("amendments:step", args=[pk, slug]))
    return _open(request, held) or _step(request, held, found, _objections(request, held, slug))


def _step(request: HttpRequest, held: Amendment, found: rules.Text, objections: list[Objection]) -> HttpResponse:
    form = StepForm(found, queries.drawings(held))
    form.bear(objections)
    context = {"form": form, "amendment": held, "step": found}
    return render(request, "training/amendments/step.html", context)


def _objections(request: HttpRequest, held: Amendment, slug: str) -> list[Objection]:
    """Return what is wrong with a step, or beside the steps, once its page has been sent."""
    return list(rules.by_step(queries.check(held).objections).get(slug, ())) if "check" in request.GET else []


def _kept(request: HttpRequest, kept: Amendment, slug: str, page: str) -> HttpResponse:
    """Go back to the page where something in it is wrong, else on to the amendment, or to one more figure."""
    if rules.by_step(queries.check(kept).objections).get(slug):
        return redirect(page + CHECK)
    messages.success(request, _("It is kept."))
    if request.POST.get("act") == "more":
        return redirect(f"{page}#more")
    return redirect(reverse("amendments:amendment", args=[kept.pk]) + (f"#{slug}" if slug else ""))


def _open(request: HttpRequest, held: Amendment) -> HttpResponse | None:
    """Go to the amendment instead of one of its forms when its text stands."""
    if held.state is State.WRITING:
        return None
    messages.info(request, str(operations.Closed()))
    return redirect("amendments:amendment", held.pk)


@either
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for the title of a new step and its place."""
    held = access.own_amendment_for(viewer_for(request, at=timezone.now()), pk)
    steps = [(one["slug"], one["title"]) for one in held.body["steps"]]
    form = AddForm(request.POST if request.method == "POST" else None, steps=steps, initial={"after": ""})
    if form.is_valid():
        try:
            slug = operations.add_step(amendment=held, **form.cleaned_data)
        except (operations.Closed, operations.Unready) as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect("amendments:step", pk, slug)
    elif request.method != "POST" and (elsewhere := _open(request, held)):
        return elsewhere
    return render(request, "training/amendments/add.html", {"form": form, "amendment": held})


@require_POST
def move(request: HttpRequest, pk: int, slug: str) -> HttpResponse:
    """Move a step up or down."""
    held, _found = access.own_step_for(viewer_for(request, at=timezone.now()), pk, slug)
    form = MoveForm(request.POST)
    if form.is_valid():
        try:
            operations.move_step(amendment=held, slug=slug, move=Move(form.cleaned_data["move"]))
        except operations.Closed as closed:
            messages.error(request, str(closed))
    return redirect(reverse("amendments:amendment", args=[pk]) + f"#{slug}")


@either
def remove(request: HttpRequest, pk: int, slug: str) -> HttpResponse:
    """Ask once, then take a step out."""
    held, found = access.own_step_for(viewer_for(request, at=timezone.now()), pk, slug)
    if request.method != "POST":
        context = {"amendment": held, "step": found}
        return _open(request, held) or render(request, "training/amendments/remove.html", context)
    return _done(
        request,
        lambda: operations.remove_step(amendment=held, slug=slug),
        said=_("The step is taken out."),
        url=reverse("amendments:amendment", args=[pk]),
    )


@require_safe
def preview(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the text as the crew will see it, and what differs; a text with mistakes goes back to its page."""
    viewer = viewer_for(request, at=timezone.now())
    return _preview(request, viewer, access.amendment_for(viewer, pk), RefuseForm())


def _preview(request: HttpRequest, viewer: Viewer, held: Amendment, form: RefuseForm) -> HttpResponse:
    seen = queries.preview(held, person=viewer.person)
    if seen is None and form.is_bound:
        # What stopped passing its check is refused on its own page: there is no preview of it.
        return _amendment(request, viewer, held, form)
    if seen is None:
        messages.warning(request, _("It can be looked at when its mistakes are put right."))
        return redirect("amendments:amendment", held.pk)
    context = {"seen": seen, "page": queries.page(held, person=viewer.person), "form": form}
    context["approve"] = ApproveForm(initial={"digest": seen.digest})
    return render(request, "training/amendments/preview.html", context)


@require_POST
def propose(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask a second person to look."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.own_amendment_for(viewer, pk)
    return _done(
        request,
        lambda: operations.propose(amendment=held, at=viewer.at),
        said=_("It is proposed. A second person looks at it and decides."),
        url=reverse("amendments:amendment", args=[pk]),
    )


@require_POST
def back(request: HttpRequest, pk: int) -> HttpResponse:
    """Go on writing what was proposed."""
    held = access.own_amendment_for(viewer_for(request, at=timezone.now()), pk)
    return _done(
        request,
        lambda: operations.take_back(amendment=held),
        said=_("It is yours again. Propose it when it is ready."),
        url=reverse("amendments:amendment", args=[pk]),
    )


@either
def discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once, then throw the amendment away."""
    held = access.own_amendment_for(viewer_for(request, at=timezone.now()), pk)
    if request.method != "POST":
        return render(request, "training/amendments/discard.html", {"amendment": held})
    return _done(
        request,
        lambda: operations.discard(amendment=held),
        said=_("The amendment is thrown away."),
        url=reverse("amendments:index"),
    )


@require_POST
def approve(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the text that was on the page in force."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.amendment_for(viewer, pk)
    form = ApproveForm(request.POST)
    digest = form.cleaned_data["digest"] if form.is_valid() else ""
    return _done(
        request,
        lambda: operations.approve(amendment=held, by=viewer.person, digest=digest, at=viewer.at),
        said=_("It is in force. The crews are asked to read it again."),
        url=reverse("amendments:amendment", args=[pk]),
    )


@require_POST
def refuse(request: HttpRequest, pk: int) -> HttpResponse:
    """Refuse what is proposed, with the reason."""
    viewer = viewer_for(request, at=timezone.now())
    held = access.amendment_for(viewer, pk)
    form = RefuseForm(request.POST)
    if not form.is_valid():
        return _preview(request, viewer, held, form)
    reason = form.cleaned_data["reason"]
    return _done(
        request,
        lambda: operations.refuse(amendment=held, by=viewer.person, reason=reason, at=viewer.at),
        said=_("It is refused. Its author may begin again from this text."),
        url=reverse("amendments:amendment", args=[pk]),
    )


def _done(request: HttpRequest, act: Callable[[], object], *, said: str, url: str) -> HttpResponse:
    """Do one thing, say what came of it, and go on."""
    try:
        act()
    except operations.Unsound:
        messages.error(request, _("Put the mistakes right first."))
    except operations.REFUSALS as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, said)
    return redirect(url)
