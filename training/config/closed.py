"""The site closed for maintenance: answered before anything asks the database."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from training.keeping.operations import flag

RETRY = "300"


class Closed:
    """While `manage.py maintenance on` holds, answer every page with its words; files go on being sent."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer 503, or let the request through. The health page tells of the machine, so it is let through."""
        if request.path != "/health/":
            try:
                words = flag().read_text(encoding="utf-8")
            except FileNotFoundError:
                pass
            else:
                # A phone that sends what it kept takes a 503 as 'keep it and try again'.
                page = render_to_string("closed.html", {"words": words})
                return HttpResponse(page, status=503, headers={"Retry-After": RETRY, "Cache-Control": "no-store"})
        return self.get_response(request)
