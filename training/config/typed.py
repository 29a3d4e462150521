"""What was typed into a form whose session had ended: handed back to the same person once they have signed in again.

It travels in the sign-in page itself, sealed, so that the server keeps nothing for strangers and whoever comes next to
the device can read nothing. Who it belongs to is told by a signed cookie that lasts as long as a session may, and goes
when its person signs out. A form made before somebody signed in again is refused, since signing in changes the token;
the cookie holds marks of the tokens its person had here, by which a form of their own in an old tab is known.
"""

import json
from base64 import urlsafe_b64encode
from dataclasses import asdict, dataclass
from urllib.parse import urlsplit

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings
from django.contrib import messages
from django.core.signing import BadSignature, Signer
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import CSRF_ALLOWED_CHARS, CSRF_SECRET_LENGTH
from django.shortcuts import render
from django.utils.crypto import salted_hmac
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from training.config.refill import refilled
from training.people.models import Person

FIELD = "typed"  # of the sign-in page, and of the session between sign-in and form
LARGEST = 64 * 1024  # bytes
LASTS = 12 * 3600  # seconds: a phone may lie for a shift
# A form that asks for a password is not kept at all (tests/training/config/test_typed.py looks at every such field).
SECRET = ("password", "confirm_")
# Pages that sign in and out and set up factors: nothing typed on them is kept.
SIGN_IN_PAGES = ("account_", "mfa_", "usersessions_")
TOKEN = "csrfmiddlewaretoken"  # noqa: S105  the name of a field
DROPPED = {TOKEN, "credential"}
MARKS = 3  # of tokens, the newest first


@dataclass(frozen=True, slots=True)
class Typed:
    """What `who` typed on `page`, a form sent to `path`; `files` says that there were files, which are not kept."""

    who: int
    page: str
    path: str
    fields: dict[str, list[str]]
    files: bool


def _box() -> MultiFernet:
    # Derived for this alone, so that nothing sealed for another purpose opens here.
    secrets = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    keys = [salted_hmac("training.config.typed", "", secret, algorithm="sha256").digest() for secret in secrets]
    return MultiFernet([Fernet(urlsafe_b64encode(key)) for key in keys])


def _sealed(typed: Typed) -> str:
    return _box().encrypt(json.dumps(asdict(typed)).encode()).decode()


def _opened(sealed: str) -> Typed | None:
    try:
        return Typed(**json.loads(_box().decrypt(sealed, ttl=LASTS)))
    except (InvalidToken, ValueError):  # the latter where it holds anything but ASCII
        return None


def _signer() -> Signer:
    return Signer(salt="training.config.typed.who")


def _noted(request: HttpRequest) -> tuple[int | None, list[str]]:
    """Return who was signed in last on this device, and the marks of the tokens they had."""
    try:
        who, *marks = _signer().unsign(request.COOKIES.get(settings.WHO_COOKIE_NAME, "")).split(".")
        return int(who), marks
    except (BadSignature, ValueError):
        return None, []


def _mark(secret: str) -> str:
    return salted_hmac("training.config.typed.mark", secret, algorithm="sha256").hexdigest()[:32]


def _secret(token: str) -> str:
    """Return the secret in a token: the first half of it says how far each character of the second is shifted."""
    if len(token) != 2 * CSRF_SECRET_LENGTH or not set(token) <= set(CSRF_ALLOWED_CHARS):
        return ""
    places = [CSRF_ALLOWED_CHARS.index(character) for character in token]
    halves = zip(places[:CSRF_SECRET_LENGTH], places[CSRF_SECRET_LENGTH:], strict=True)
    return "".join(CSRF_ALLOWED_CHARS[shifted - by] for by, shifted in halves)


def kept_of(request: HttpRequest) -> str:
    """Return what was typed, sealed; empty where it is nobody's, nothing a person sent from a page, or too much."""
    (who, _marks), name = _noted(request), request.resolver_match.view_name if request.resolver_match else ""
    by_hand = request.method == "POST" and "text/html" in request.headers.get("Accept", "")
    if who is None or not by_hand or name.startswith(SIGN_IN_PAGES):
        return ""
    fields = {name: request.POST.getlist(name) for name in request.POST if name not in DROPPED}
    if any(part in name for name in fields for part in SECRET):
        return ""
    if sum(len(text.encode(errors="replace")) for values in fields.values() for text in values) > LARGEST:
        return ""
    return _sealed(Typed(who, page_of(request), request.get_full_path(), fields, bool(request.FILES)))


def page_of(request: HttpRequest) -> str:
    """Return the page a form was sent from, on this site."""
    # The page with the form is where it was sent from, which need not be where it was sent to.
    try:
        came = urlsplit(request.headers.get("Referer", ""))
    except ValueError:
        return request.get_full_path()
    page = f"{came.path}?{came.query}" if came.query else came.path
    own = came.netloc == request.get_host() and url_has_allowed_host_and_scheme(page, allowed_hosts=None)
    return page if own else request.get_full_path()


def keep_stale(request: HttpRequest) -> str:
    """Take what the same person sent with a token of an earlier sign-in; return the page to go to, or nothing."""
    who, marks = _noted(request)
    if who is None or who != request.user.pk or _mark(_secret(request.POST.get(TOKEN, ""))) not in marks:
        return ""
    sealed = kept_of(request)
    if not sealed:
        return ""
    request.session[FIELD] = sealed
    return page_of(request)


def bring(request: HttpRequest, person: Person) -> str:
    """Take what was typed from the sign-in page where it is this person's; return the page to go to, or nothing."""
    sealed = request.POST.get(FIELD, "")
    typed = _opened(sealed)
    if typed is None or typed.who != person.pk:
        return ""
    request.session[FIELD] = sealed
    return typed.page


def note_who(request: HttpRequest, response: HttpResponse) -> None:
    """Note on the device who is signed in there, as long as a session may last; forget it when they sign out."""
    name, had = settings.WHO_COOKIE_NAME, request.COOKIES.get(settings.WHO_COOKIE_NAME)
    if request.user.is_authenticated:
        who_had, marks = _noted(request)
        marks = marks if who_had == request.user.pk else []
        secret = request.META.get("CSRF_COOKIE")
        marks = list(dict.fromkeys([*([_mark(secret)] if secret else []), *marks]))[:MARKS]
        if had != (who := _signer().sign(".".join([str(request.user.pk), *marks]))):
            facts = {"secure": settings.SESSION_COOKIE_SECURE, "httponly": True, "samesite": "Lax"}
            response.set_cookie(name, who, max_age=settings.SESSION_COOKIE_AGE, **facts)
    elif request.resolver_match and request.resolver_match.view_name == "account_logout":
        request.session.pop(FIELD, None)  # put there between password and code
        if had:
            response.delete_cookie(name)


def waiting_for(request: HttpRequest) -> Typed | None:
    """Return what goes into the form of this very page, and say so there; to nobody but who had typed it."""
    if request.method != "GET" or not request.user.is_authenticated or FIELD not in request.session:
        return None
    typed = _opened(request.session[FIELD])
    if typed is None or typed.who != request.user.pk:
        del request.session[FIELD]
        return None
    if typed.page != request.get_full_path():
        return None
    messages.warning(request, _said(typed))
    return typed


def _said(typed: Typed) -> str:
    said = _("You had been signed out; nothing was saved. Check and send again.")
    return f"{said} {_('Choose your files again.')}" if typed.files else said


def given_back(request: HttpRequest, response: HttpResponse, typed: Typed) -> HttpResponse:
    """Return the page with its form filled in, once; where there is no such form any more, a page of what was typed."""
    if response.status_code >= 500:
        return response  # it is tried again, and then there has to be something to give
    del request.session[FIELD]
    is_page = response.status_code == 200 and response.headers.get("Content-Type", "").startswith("text/html")
    if is_page and not response.streaming:
        filled = refilled(response.text, page=typed.page, path=typed.path, fields=typed.fields)
        if filled is not None:
            response.content = filled
            return response
    list(messages.get_messages(request))  # the page below says it itself
    values = [text for texts in typed.fields.values() for text in texts if text.strip()]
    return render(request, "typed.html", {"values": values})
