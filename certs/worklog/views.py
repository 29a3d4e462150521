"""Recording bonds made, and confirming the work on them."""

from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.arrivals import rules as arrivals
from certs.arrivals.rules import Reply
from certs.cards import operations as cards
from certs.cards.forms import ConfirmForm
from certs.cards.models import Confirmation
from certs.cards.rules import local_day
from certs.signoffs.forms import problems_of
from certs.worklog import access, operations, queries
from certs.worklog.forms import EntryForm
from certs.worklog.rules import KIND
from training.people.access import Viewer, viewer_for
from training.people.rules import Role


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show a crew member what they recorded, and what counts towards the next confirmation."""
    viewer = access.crew_member(viewer_for(request, at=timezone.now()))
    return render(request, "certs/worklog/index.html", {"page": queries.own(viewer.person, on=viewer.on)})


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """Record bonds made on a plain form; with JavaScript the phone keeps and sends them."""
    viewer = access.crew_member(viewer_for(request, at=timezone.now()))
    issues = queries.choices(viewer.person, on=viewer.on)
    key = uuid4()
    form = EntryForm(
        _typed(request, key), request.FILES or None, issues=issues, initial={"key": key, "done_on": viewer.on}
    )
    if form.is_valid() and _recorded(form, viewer):
        messages.success(request, _("The bonds are on record."))
        return redirect("worklog:index")
    context = {"form": form, "record": form["key"].value(), "kind": KIND, "page_has_errors": bool(form.errors)}
    return render(request, "certs/worklog/add.html", context)


def _typed(request: HttpRequest, key: UUID) -> QueryDict | None:
    """Return what was typed; a key that is none gives way to a new one, since nobody can mend a hidden field."""
    typed = request.POST.copy()
    try:
        UUID(typed.get("key", ""))
    except ValueError:
        typed["key"] = str(key)
    return typed if request.POST else None


def _recorded(form: EntryForm, viewer: Viewer) -> bool:
    """Record what a plain form holds, or put beside its field what stands in the way."""
    try:
        operations.record_form(
            key=form.cleaned_data["key"],
            person=viewer.person,
            scheme=form.chosen(),
            entry=form.entry(),
            photo=form.picture(),
            on=viewer.on,
            at=viewer.at,
        )
    except operations.EntryRefused as refusal:
        form.add_error(refusal.field, str(refusal))
    except arrivals.Conflict:
        form.add_error(None, _("This form was used for another record. Open an empty one and type it again."))
    return not form.errors


@require_POST
def receive(request: HttpRequest, key: UUID) -> JsonResponse:
    """Record what a phone kept, by the rules of `certs.arrivals`."""
    reply = _received(viewer_for(request, at=timezone.now()), key, request.read(arrivals.MOST_BYTES + 1))
    return JsonResponse(reply.body, status=reply.status)


def _received(viewer: Viewer, key: UUID, raw: bytes) -> Reply:
    try:
        sent = arrivals.read(raw)
    except arrivals.Unreadable:
        return arrivals.refused_whole(_("This record cannot be read. Type it again on an empty form."))
    if sent.made_by != viewer.person.pk:
        return arrivals.conflict()
    try:
        return _entered(viewer, key, sent)
    except arrivals.Conflict:
        return arrivals.conflict()


def _entered(viewer: Viewer, key: UUID, sent: arrivals.Sent) -> Reply:
    if not viewer.has(Role.CREW):
        return arrivals.refused_whole(_("Bonds are recorded by crew members. Ask your administrator for that role."))
    form = EntryForm({**sent.fields, "key": str(key)}, issues=queries.choices(viewer.person, on=viewer.on))
    if not form.is_valid():
        return arrivals.refused(problems_of(form))
    try:
        _entry, new = operations.record(
            key=key,
            person=viewer.person,
            scheme=form.chosen(),
            entry=form.entry(),
            digest=sent.digest,
            phone_time=sent.phone_time,
            on=viewer.on,
            at=viewer.at,
        )
    except operations.EntryRefused as refusal:
        form.add_error(refusal.field, str(refusal))
        return arrivals.refused(problems_of(form))
    return arrivals.kept(key, new=new)


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """List whose work is to be confirmed, by when, and what they recorded."""
    viewer = viewer_for(request, at=timezone.now())
    seen, mine = access.people_of(viewer), access.people_confirmed_by(viewer)
    page = queries.holders(seen, mine=mine, on=viewer.on)
    return render(request, "certs/worklog/people.html", {"page": page, "across": viewer.across, "on": viewer.on})


@require_http_methods(["GET", "POST"])
def confirm(request: HttpRequest, number: str) -> HttpResponse:
    """Take a supervisor's confirmation that the holder has been doing the work, beside what the holder recorded."""
    viewer = viewer_for(request, at=timezone.now())
    card = access.card_to_confirm(viewer, number)
    on = local_day(viewer.at, card.zone)
    tally = queries.evidence(card, on=on)
    form = ConfirmForm(request.POST or None, initial={"shots": tally.bonds or None, "evidence": tally.evidence})
    if form.is_valid():
        try:
            made = cards.confirm(card=card, by=viewer.person, on=on, at=viewer.at, **form.cleaned_data)
        except cards.ConfirmationRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _confirmed(made))
            return redirect("cards:card", number=card.number)
    context = {"form": form, "face": tally.face, "tally": tally, "page_has_errors": bool(form.errors)}
    return render(request, "certs/worklog/confirm.html", context)


def _confirmed(made: Confirmation) -> str:
    facts = {"name": made.card.person.name, "day": date_format(made.next_due_on)}
    if made.doubts:
        words = _("Your doubt is on record. %(name)s does no work under this card until it is reinstated: say so now.")
        return words % facts
    return _("The work of %(name)s is confirmed. The next confirmation is due by %(day)s.") % facts
