"""Pages where an administrator keeps accounts, roles and crews."""

from collections.abc import Callable, Mapping
from typing import Any

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.people import access, forms, operations, queries, rules
from training.people.models import Crew, Employer, Invitation, Site
from training.people.rules import Role

OPERATIONS: Mapping[str, Callable[..., object]] = {
    forms.GiveRoleForm.act: operations.give_role,
    forms.EndRoleForm.act: operations.end_role,
    forms.JoinCrewForm.act: operations.join_crew,
    forms.LeaveCrewForm.act: operations.leave_crew,
    forms.FactsForm.act: operations.put_right,
    forms.MoveForm.act: operations.move,
    forms.CloseForm.act: operations.close_account,
    forms.OpenForm.act: operations.open_account,
    forms.InviteForm.act: operations.invite,
    forms.RevokeForm.act: operations.revoke,
    forms.LanguageForm.act: operations.choose_language,
}

PLACES: Mapping[str, Callable[..., object]] = {
    forms.CrewForm.act: operations.add_crew,
    forms.SiteForm.act: operations.add_site,
    forms.PlaceForm.act: operations.place_crew,
    forms.EmployerForm.act: operations.add_employer,
}

CHANGES: Mapping[tuple[str, str], Callable[..., object]] = {
    ("employer", forms.RenameForm.act): operations.rename_employer,
    ("site", forms.RenameForm.act): operations.rename_site,
    ("site", forms.UseForm.act): operations.use_site,
    ("crew", forms.RenameForm.act): operations.rename_crew,
    ("crew", forms.UseForm.act): operations.use_crew,
}


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the people this administrator keeps, with their roles and crews of today."""
    viewer = access.viewer_for(request, at=timezone.now())
    people = access.people_administered_by(viewer)
    search = forms.SearchForm(request.GET)
    name = search.cleaned_data["name"] if search.is_valid() else ""
    listing = queries.listing(people, on=viewer.on, name=name, page=request.GET.get("page", ""))
    return render(request, "training/people/index.html", {"form": search, "listing": listing, "name": name})


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """Open an account; its page makes the link to a first password."""
    viewer = access.viewer_for(request, at=timezone.now()).require(Role.ADMINISTRATOR)
    form = forms.AddForm(
        request.POST or None,
        employers=access.employers_seen_by(viewer),
        crews=access.crews_offered_to(viewer),
        roles=rules.roles_to_change(of_the_body=viewer.across),
    )
    made = _carry_out(form, operations.add_person, by=viewer.person, on=viewer.on, at=viewer.at)
    if made is not None:
        messages.success(request, _("Added. Now make a sign-in link, so that %(name)s can come in.") % {"name": made})
        return redirect(f"{reverse('people:person', args=[made.pk])}#account")
    return render(request, "training/people/add.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
def employers(request: HttpRequest) -> HttpResponse:
    """List employers, sites and crews; add them, or say from which site a crew goes out."""
    viewer = access.viewer_for(request, at=timezone.now()).require(Role.ADMINISTRATOR)
    seen = access.employers_seen_by(viewer)
    changes = forms.place_forms(
        request.POST or None,
        employers=seen,
        sites=access.sites_offered_to(viewer),
        crews=access.crews_offered_to(viewer),
        across=viewer.across,
    )
    act = request.POST.get("act", "")
    sent = changes.get(act)
    if sent and _carry_out(sent, PLACES[act], by=viewer.person, on=viewer.on, at=viewer.at):
        messages.success(request, sent.done)
        return redirect("people:employers")
    context = {"rows": queries.employers(seen), "changes": changes, "sent": sent}
    return render(request, "training/people/employers.html", context | {"page_has_errors": bool(sent and sent.errors)})


@require_http_methods(["GET", "HEAD", "POST"])
def employer(request: HttpRequest, pk: int) -> HttpResponse:
    """Give an employer another name."""
    viewer = access.viewer_for(request, at=timezone.now())
    return _place(request, viewer, access.employer_administered_by(viewer, pk))


@require_http_methods(["GET", "HEAD", "POST"])
def site(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a site another name, or put it out of use."""
    viewer = access.viewer_for(request, at=timezone.now())
    found = access.site_administered_by(viewer, pk)
    return _place(request, viewer, found, crews=queries.crews_from(found))


@require_http_methods(["GET", "HEAD", "POST"])
def crew(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a crew another name, or put it out of use."""
    viewer = access.viewer_for(request, at=timezone.now())
    found = access.crew_administered_by(viewer, pk)
    return _place(request, viewer, found, people=queries.people_in(found, on=viewer.on))


def _place(request: HttpRequest, viewer: access.Viewer, place: Employer | Site | Crew, **more: object) -> HttpResponse:
    kind, changes = str(place._meta.model_name), forms.changes_of(request.POST or None, place)
    act = request.POST.get("act", "")
    sent, operation = changes.get(act), CHANGES.get((kind, act))
    who = {"by": viewer.person, "on": viewer.on, "at": viewer.at, kind: place}
    if sent and operation and _carry_out(sent, operation, **who) is not None:
        messages.success(request, sent.done)
        return redirect("people:employers")
    context = {"changes": changes, "sent": sent, "place": place, "kind": kind, **more}
    return render(request, "training/people/place.html", context | {"page_has_errors": bool(sent and sent.errors)})


@require_http_methods(["GET", "HEAD", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one account, and change one thing about it."""
    viewer = access.viewer_for(request, at=timezone.now())
    account = access.person_administered_by(viewer, pk)
    changes = forms.change_forms(
        request.POST or None,
        person=account,
        roles=rules.roles_to_change(of_the_body=viewer.across),
        held=queries.roles_not_over(account, on=viewer.on),
        crews=queries.crews_open_to(account),
        memberships=queries.crews_not_over(account, on=viewer.on),
        employers=access.employers_seen_by(viewer).exclude(pk=account.employer_id),
        on=viewer.on,
        language=account.language,
    )
    sent = changes.get(request.POST.get("act", ""))
    if sent is not None:
        who = {"by": viewer.person, "person": account, "on": viewer.on, "at": viewer.at}
        done = _carry_out(sent, OPERATIONS[sent.act], **who)
        if done is not None:
            return _answer(request, sent, account, done)
    context = {"sheet": queries.sheet(account, on=viewer.on), "changes": changes, "sent": sent}
    context["link_until"] = queries.link_until(account, at=viewer.at)
    return render(request, "training/people/person.html", context | {"page_has_errors": bool(sent and sent.errors)})


@require_http_methods(["GET", "HEAD", "POST"])
def own(request: HttpRequest) -> HttpResponse:
    """Let anyone choose the language of their own cards and mails."""
    viewer = access.viewer_for(request, at=timezone.now())
    typed = request.POST if request.method == "POST" else None
    form = forms.LanguageForm(typed, initial={"language": viewer.person.language})
    who = {"by": viewer.person, "person": viewer.person, "on": viewer.on, "at": viewer.at}
    if _carry_out(form, operations.choose_language, **who) is not None:
        messages.success(request, form.done)
        return redirect("people:own")
    return render(request, "training/people/own.html", {"form": form, "page_has_errors": bool(form.errors)})


@require_POST
def sign_out_there(request: HttpRequest, pk: int) -> HttpResponse:
    """End one of the own sessions, in another browser."""
    viewer = access.viewer_for(request, at=timezone.now())
    operations.end_session(access.own_session_for(viewer, pk), at=viewer.at)
    messages.success(request, _("You are signed out there."))
    return redirect("usersessions_list")


def _carry_out(form: Any, operation: Callable[..., Any], **who: object) -> Any:
    """Call the operation with what was typed; None when refused, with the reason in the form."""
    if not form.is_valid():
        return None
    try:
        return operation(**who, **form.cleaned_data)
    except ValidationError as refusal:
        # What the rows themselves refuse names no field: it is that something of this name or number is there already.
        by_rows = not isinstance(refusal, operations.Refused) and NON_FIELD_ERRORS in getattr(refusal, "error_dict", ())
        form.add_error(*((form.blames, refusal.messages) if by_rows else (None, refusal)))
        return None


def _answer(request: HttpRequest, sent: forms.ChangeForm, account: Any, done: object) -> HttpResponse:
    if isinstance(done, Invitation):
        return _link(request, done, by_mail=bool(sent.cleaned_data.get("by_mail")))
    messages.success(request, sent.done)
    return redirect("people:person", account.pk)


def _link(request: HttpRequest, invitation: Invitation, *, by_mail: bool) -> HttpResponse:
    # Shown in the answer itself: a redirect would have to keep the link somewhere.
    url = request.build_absolute_uri(reverse("people:start", args=[access.secret_of(invitation)]))
    context = {"person": invitation.person, "url": url, "until": rules.link_ends(invitation.made_at)}
    sent = by_mail and operations.send_link(**context)
    return render(request, "training/people/link.html", context | {"by_mail": by_mail, "sent": sent})


@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest, secret: str) -> HttpResponse:
    """Let a person set their password by a link; opening it uses nothing up, since mail servers look at links too."""
    at = timezone.now()
    invitation = access.invitation_for(secret, at=at)
    if invitation is None:
        return render(request, "training/people/start_gone.html", status=404)
    form = forms.StartForm(request.POST or None, person=invitation.person)
    if not form.is_valid():
        return render(request, "training/people/start.html", {"form": form, "person": invitation.person})
    try:
        operations.accept(invitation=invitation, password=form.cleaned_data["password"], at=at)
    except operations.NoLonger:
        return render(request, "training/people/start_gone.html", status=404)
    logout(request)  # whoever was signed in on this browser is not who comes now
    messages.success(request, _("Your password is set. Sign in with it now."))
    return redirect("account_login")


@require_safe
def shut_out(request: HttpRequest) -> HttpResponse:
    """List who failed too often to try again."""
    viewer = access.viewer_for(request, at=timezone.now())
    people = queries.shut_out(access.people_let_in_by(viewer))
    return render(request, "training/people/shut_out.html", {"people": people, "viewer": viewer})


@require_POST
def let_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a person try again."""
    viewer = access.viewer_for(request, at=timezone.now())
    account = access.shut_out_for(viewer, pk)
    operations.let_in(by=viewer.person, person=account, at=viewer.at)
    messages.success(request, _("%(name)s can try again.") % {"name": account})
    return redirect("people:shut_out")
