"""What is answered when something breaks on the way to a page, session and sign-in included."""

import sys

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string

from training.config import typed

# Seconds after which a phone or a person may try again.
RETRY = "30"
# So many digits of the number of a request can be told on the telephone, and find its line in the log.
SPOKEN = 8


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer 503 where the database is locked, full or away, so that the sender keeps it and tries again; else 500."""
    if isinstance(sys.exc_info()[1], (OperationalError, InterfaceError)):
        # Made without the request: who is signed in stands in the database as well.
        return HttpResponse(render_to_string("503.html"), status=503, headers={"Retry-After": RETRY})
    number = getattr(request, "number", "")[:SPOKEN]
    return HttpResponse(render_to_string("500.html", {"number": number}), status=500)


def stale(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form whose token does not hold, most often one of an old tab: signing in changes the token.

    Its own person gets it back filled in; anybody else is told what to do. Nothing is carried out.
    """
    name = request.resolver_match.view_name if request.resolver_match else ""
    page = typed.keep_stale(request)
    if page:
        return redirect(page)
    context = {"again": typed.page_of(request), "already": request.user.is_authenticated and name == "account_login"}
    return render(request, "403_csrf.html", context, status=403)
