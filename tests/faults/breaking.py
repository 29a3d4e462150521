"""The site with one page that breaks its worker; gunicorn calls `application`."""

from collections.abc import Iterable
from typing import Any

from training.config.wsgi import application as site


class Refused(BaseException):
    """No Exception, as what the fetcher of a PDF raises is none: it passes through every handler of a server."""


def application(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
    """Answer as the site does, but for one address."""
    if environ["PATH_INFO"] == "/breaks/":
        raise Refused
    return site(environ, start_response)
