"""What is answered when something breaks on the way to a page, session and sign-in included."""

import sys

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.views.defaults import server_error as broken

# Seconds after which a phone or a person may try again.
RETRY = "30"


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer 503 where the database is locked, full or away, so that the sender keeps it and tries again; else 500."""
    if isinstance(sys.exc_info()[1], (OperationalError, InterfaceError)):
        # Made without the request: who is signed in stands in the database as well.
        return HttpResponse(render_to_string("503.html"), status=503, headers={"Retry-After": RETRY})
    return broken(request)
