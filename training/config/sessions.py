"""How long a session lasts by the clock of this server, and what it may open without a second factor."""

from collections.abc import Callable
from typing import Any, cast

from allauth.account.authentication import get_authentication_records
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.exceptions import SessionInterrupted
from django.contrib.sessions.middleware import SessionMiddleware
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from training.config import typed
from training.config.factors import SECOND
from training.config.signin import sign_in_page
from training.people.access import viewer_for
from training.people.models import Person
from training.people.rules import Role, SessionTimes, asks_second_factor, session_limits

# Where the two moments of a session are kept, as seconds since 1970: when it began, and when it was last used.
CLOCK = "clock"
# The last use is written down at most so often, or every page read would be a write. A session may end this much early.
EVERY = 30.0

READING = {"GET", "HEAD", "OPTIONS"}

Answer = Callable[[HttpRequest], HttpResponse]
Times = tuple[float, float]


def roles_now(request: HttpRequest) -> frozenset[Role]:
    """Return the roles of who asks."""
    return viewer_for(request, at=timezone.now()).roles


class Sessions(SessionMiddleware):
    """Sessions in the database; where that takes no writes, it is `come again later` and not a fault of who asks."""

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        """Keep the session with the answer."""
        try:
            return super().process_response(request, response)
        except SessionInterrupted as gone:
            raise why(gone.__context__) or gone from None


def why(fault: BaseException | None) -> OperationalError | None:
    """Return what kept a session from being written; none where the session itself was ended meanwhile.

    Django says UpdateError of both.
    """
    cause = fault.__context__ if fault else None
    return cause if isinstance(cause, OperationalError) else None


class SessionClock:
    """End a session that was idle too long or is too old for the strictest role of its person."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response
        self.rests_until = 0.0

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Judge the session before anything looks at who is signed in."""
        if request.user.is_authenticated:
            self.judge(request, timezone.now().timestamp())
        return self.get_response(request)

    def judge(self, request: HttpRequest, now: float) -> None:
        """End the session, or note that it is in use."""
        held = request.session.get(CLOCK)
        began, seen = held or (now, 0.0)
        times = SessionTimes(began, seen or now)
        if session_limits(roles_now(request)).over(times, now=now):
            logout(request)
            messages.info(request, _("You were signed out because too much time had passed. Sign in to go on."))
        elif now - seen < EVERY:
            pass
        elif held is None or request.method not in READING:
            # A session has a beginning on record before it opens anything, or it would never grow old.
            request.session[CLOCK] = (began, now)
            _seen(request)
        elif now >= self.rests_until:
            self._wind(request, held, (began, now))

    def _wind(self, request: HttpRequest, held: Times, times: Times) -> None:
        """Write down that the session is in use by somebody who only reads.

        A database that takes no writes must not keep them from it: then the old times stay, so that the session ends
        as if it had not been used, and nobody tries again for a while, since a lock is waited for.
        """
        was_modified = request.session.modified
        request.session[CLOCK] = times
        try:
            request.session.save()
            _seen(request)
        except (UpdateError, OperationalError) as fault:
            if not isinstance(fault, OperationalError) and why(fault) is None:
                raise SessionInterrupted("The session was ended while the page was made.") from fault
            request.session[CLOCK] = held
            self.rests_until = times[1] + EVERY
        request.session.modified = was_modified


def _seen(request: HttpRequest) -> None:
    # The list of a person's own sessions says when each was last used.
    UserSession.objects.filter(session_key=request.session.session_key).update(last_seen_at=timezone.now())


class SignedIn(LoginRequiredMiddleware):
    """Ask for a sign-in where one is needed, and lose nothing that was typed."""

    def handle_no_permission(self, request: HttpRequest, view_func: object) -> HttpResponse:
        """Show the sign-in page: by a redirect, or at once with what was typed in it."""
        kept = typed.kept_of(request)
        return sign_in_page(request, kept) if kept else super().handle_no_permission(request, view_func)

    def process_request(self, request: HttpRequest) -> None:
        """Say on the page with the form why it is there again."""
        request.typed = typed.waiting_for(request)  # type: ignore[attr-defined]

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        """Fill the form in, and note who is signed in on this device."""
        kept: typed.Typed | None = getattr(request, "typed", None)
        if kept is not None:
            response = typed.given_back(request, response, kept)
        typed.note_who(request, response)
        return response


class SecondFactor:
    """Give whoever must have a second factor nothing but the pages to show or set up one, until they have."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer; the judging waits until the page asked for is known."""
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> HttpResponse | None:
        """Lead to the second factor where it is owed."""
        if not request.user.is_authenticated or not getattr(view, "login_required", True):
            return None
        name = request.resolver_match.view_name if request.resolver_match else ""
        # Without a second factor only what signs in and out, and what sets one up.
        if name.startswith(typed.SIGN_IN_PAGES) or not asks_second_factor(roles_now(request)):
            return None
        person = cast(Person, request.user)
        if any(record["method"] == "mfa" for record in get_authentication_records(request, person)):
            return None
        return _to_the_factor(request, person)


def _to_the_factor(request: HttpRequest, person: Person) -> HttpResponse:
    kinds = set(Authenticator.objects.filter(user=person, type__in=SECOND).values_list("type", flat=True))
    if not kinds:
        messages.info(request, _("Your role asks for a second factor. Set one up to go on."))
        return redirect("mfa_index")
    page = "mfa_reauthenticate" if Authenticator.Type.TOTP in kinds else "mfa_reauthenticate_webauthn"
    # Only what was looked at is gone back to; what was sent is not sent again by itself.
    back = {"next": request.get_full_path()} if request.method == "GET" else {}
    return redirect(f"{reverse(page)}?{urlencode(back)}")
