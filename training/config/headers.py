"""Headers that Django sets nowhere itself."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


class PrivatePages:
    """Keep pages of a signed-in person out of every cache, and switch off device features."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer with the headers added."""
        response = self.get_response(request)
        if request.user.is_authenticated and "Cache-Control" not in response:
            response["Cache-Control"] = "no-store"
        response.setdefault("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
        return response
