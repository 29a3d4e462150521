"""The answers for gates as JSON, and the pages of tokens."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import SuspiciousOperation
from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certs.gates import access, operations, queries, rules
from certs.gates.access import NotLetIn, Refusal
from certs.gates.forms import AskedForm, TokenForm
from training.people.access import Viewer, viewer_for

RETRY = 30
TITLES = {
    400: "Bad Request",
    401: "Unauthorized",
    404: "Not Found",
    405: "Method Not Allowed",
    429: "Too Many Requests",
    503: "Service Unavailable",
}
# RFC 6750, 3: what a client is told about its token; without one, nothing but the scheme.
CHALLENGES = {
    Refusal.NO_TOKEN: 'Bearer realm="gates"',
    Refusal.MALFORMED: 'Bearer realm="gates", error="invalid_request"',
    Refusal.UNKNOWN: 'Bearer realm="gates", error="invalid_token"',
}


@csrf_exempt  # a method that is not known here is told so, in JSON; nothing is ever written for a form
@login_not_required
def standing(request: HttpRequest) -> HttpResponse:
    """Answer a gate: may this person work under a card of this scheme on this day?"""
    if request.method != "GET":
        response = _problem(405, _("Ask with GET: nothing can be written here."))
        response["Allow"] = "GET"
        return response
    try:
        return _standing(request, at=timezone.now())
    except (OperationalError, InterfaceError):
        response = _problem(503, _("The register cannot be reached at the moment. Ask again in half a minute."))
        response["Retry-After"] = RETRY
        return response


def _standing(request: HttpRequest, *, at: datetime) -> HttpResponse:
    try:
        employer = access.employer_asking(request, at=at)
    except NotLetIn as refusal:
        return _not_let_in(refusal)
    try:
        form = AskedForm(request.GET)
    except SuspiciousOperation:
        return _problem(400, _("There are too many parameters."))
    if not form.is_valid():
        return _problem(400, _("What is asked cannot be read: see errors."), errors=form.sentences())
    said = queries.answer(employer, form.asked(), at=at)
    if said is None:
        return _problem(404, _("Nobody and no card of that employer answers to this."))
    return _private(JsonResponse(said.body))


def _not_let_in(refusal: NotLetIn) -> HttpResponse:
    if refusal.why is Refusal.TOO_OFTEN:
        response = _problem(429, _("Asked too often. Ask again after the seconds that Retry-After names."))
        response["Retry-After"] = refusal.wait
        return response
    sentences = {
        Refusal.NO_TOKEN: (401, _("Send a token in the header Authorization: Bearer, then the token.")),
        Refusal.MALFORMED: (400, _("What follows Bearer in the header Authorization is no token.")),
        Refusal.UNKNOWN: (401, _("This token is not known, or it was revoked. Ask whoever keeps the tokens.")),
    }
    response = _problem(*sentences[refusal.why])
    response["WWW-Authenticate"] = CHALLENGES[refusal.why]
    return response


def _problem(status: int, detail: str, *, errors: Sequence[Mapping[str, str]] = ()) -> HttpResponse:
    """Return what went wrong as problem details (RFC 9457)."""
    body: dict[str, object] = {"type": "about:blank", "title": TITLES[status], "status": status, "detail": detail}
    if errors:
        body["errors"] = list(errors)
    return _private(JsonResponse(body, status=status, content_type="application/problem+json"))


def _private(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = "no-store"
    return response


@login_not_required
@require_safe
def about(request: HttpRequest) -> HttpResponse:
    """Say how a gate asks: parameters, answers, errors, limits, and what stays as it is."""
    limits = {"minute": rules.ASKED_A_MINUTE, "refused": rules.REFUSED_A_QUARTER, "most": rules.MOST_TOKENS}
    return render(request, "certs/gates/about.html", {"limits": limits, "host": request.get_host()})


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List the tokens that the viewer keeps, and offer to make one."""
    viewer = viewer_for(request, at=timezone.now())
    return _index(request, viewer, TokenForm(employers=access.employers_kept_by(viewer)))


@require_POST
def make(request: HttpRequest) -> HttpResponse:
    """Make a token and show it, this once."""
    viewer = viewer_for(request, at=timezone.now())
    form = TokenForm(request.POST, employers=access.employers_kept_by(viewer))
    if form.is_valid():
        facts = form.cleaned_data
        try:
            text = operations.make_token(**facts, by=viewer.person, at=viewer.at)
        except operations.TokenRefused as refusal:
            form.add_error(None, refusal)
        else:
            # Shown in the answer itself: a redirect would have to keep the token somewhere.
            return _private(render(request, "certs/gates/made.html", {"token": text, **facts}))
    return _index(request, viewer, form)


@require_http_methods(["GET", "HEAD", "POST"])
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask once, then let a token answer no more."""
    viewer = viewer_for(request, at=timezone.now())
    token = access.token_kept_by(viewer, pk)
    if request.method != "POST":
        return render(request, "certs/gates/revoke.html", {"token": token})
    operations.revoke_token(token=token, by=viewer.person, at=viewer.at)
    words = _("Revoked. Whatever asks with the token %(name)s gets no answer.")
    messages.success(request, words % {"name": token.name})
    return redirect("gates:index")


def _index(request: HttpRequest, viewer: Viewer, form: TokenForm) -> HttpResponse:
    employers = access.employers_kept_by(viewer)
    context = {"form": form, "tokens": queries.tokens(employers), "page_has_errors": bool(form.errors)}
    return render(request, "certs/gates/index.html", context)
