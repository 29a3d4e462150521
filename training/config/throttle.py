"""How tries at passwords and codes are counted: axes counts and refuses, this says for whom and what is answered."""

from typing import Any

from allauth.account.adapter import get_adapter
from axes.handlers.database import AxesDatabaseHandler
from django.contrib.auth.signals import user_login_failed
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _

from training.people.models import Person
from training.people.queries import failures_in_a_row, named_at_sign_in
from training.people.rules import counted_as, too_many_failures


class Tries(AxesDatabaseHandler):  # type: ignore[misc]
    """Count in the database, so that every worker sees it; and stop an account after a hundred failures in a row."""

    def is_locked(self, request: HttpRequest, credentials: dict[str, Any] | None = None) -> bool:
        """Say whether this user name is refused at this address for a while, or anywhere until it is let in again."""
        if super().is_locked(request, credentials):
            return True
        person = named_at_sign_in(username(request, credentials))
        return person is not None and too_many_failures(failures_in_a_row(person))


def address(request: HttpRequest) -> str | None:
    """Return whose address is counted: what ALLAUTH_TRUSTED_PROXY_COUNT and its kin make of it; none, where none is."""
    try:
        return str(get_adapter().get_client_ip(request))
    except PermissionDenied:
        return None


def username(request: HttpRequest, credentials: dict[str, Any] | None = None) -> str:
    """Return the user name that is tried as it is counted: capitals make no other account of it."""
    typed = (credentials or {}).get("username") or request.POST.get("login", "")
    return counted_as(str(typed))


def refused(request: HttpRequest, response: HttpResponse, credentials: dict[str, Any] | None = None) -> HttpResponse:
    """Answer a try too many: the page with its sentence stays, so that nothing else typed on it is lost."""
    if response.status_code == 200:
        response.status_code = 429
    return response


def too_many() -> str:
    """Say that there were too many wrong tries."""
    return _(
        "Too many wrong tries. Wait a quarter of an hour, or ask your supervisor or an administrator to let you in."
    )


def count_failure(request: HttpRequest, person: Person) -> None:
    """Count a wrong code like a wrong password."""
    user_login_failed.send(sender=__name__, credentials={"username": person.username}, request=request)
