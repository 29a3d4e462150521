"""The log: one JSON object a line, with the request's own number and the person's number, and nobody's name."""

import logging
import re
import time
from collections.abc import Callable, MutableMapping
from contextvars import ContextVar
from pathlib import Path
from types import TracebackType
from typing import Any
from uuid import uuid4

import structlog
from django.http import HttpRequest, HttpResponse

Event = MutableMapping[str, Any]
REQUEST: ContextVar[str] = ContextVar("request", default="")
log = logging.getLogger("ferrule.request")
SAID = ("method", "route", "status", "ms", "user")


class Numbered:
    """Give each request a number, say it in the answer, and write one line about it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer; the number is made here, since one that came with the request could be anything."""
        number, began = uuid4().hex, time.monotonic()
        request.number = number  # type: ignore[attr-defined]  # for what Django says after the last middleware
        token = REQUEST.set(number)
        try:
            response = self.get_response(request)
            response["X-Request-ID"] = number
            took = round((time.monotonic() - began) * 1000)
            facts = {"route": route(request), "user": getattr(getattr(request, "user", None), "pk", None), "ms": took}
            log.info("answered", extra={"method": request.method, "status": response.status_code, **facts})
        finally:
            REQUEST.reset(token)
        return response


def route(request: HttpRequest) -> str:
    """Return which page was asked for, as the site map writes it: an address may hold a secret."""
    return str(request.resolver_match.route) if request.resolver_match else "unknown"


def number(_logger: object, _method: str, event: Event) -> Event:
    """Add the number of the request."""
    found = REQUEST.get() or getattr(getattr(event.get("_record"), "request", None), "number", "")
    return {**event, "request": found} if found else event


def without_address(_logger: object, _method: str, event: Event) -> Event:
    """Put the route in the place of the address in what Django says about a request."""
    record = event.get("_record")
    request = getattr(record, "request", None)
    if isinstance(request, HttpRequest):
        event["event"] = f"{str(event['event']).split(':', 1)[0]}: /{route(request)}"
    return event


def where_it_broke(_logger: object, _method: str, event: Event) -> Event:
    """Tell an exception by its kind, the first line of its message, and the lines of code it came through.

    Further lines are left out: a database puts values there, and a name may be one.
    """
    found = event.pop("exc_info", None)
    if not isinstance(found, tuple) or found[1] is None:
        return event
    kind, error, trace = found
    said = re.sub(r"(['\"]).*?\1", r"\1…\1", str(error).split("\n", 1)[0])
    return {**event, "exception": f"{kind.__name__}: {said}", "trace": lines(trace)}


def lines(trace: TracebackType | None) -> list[str]:
    """Return the lines of code of a trace, the outermost first, without their values."""
    found = []
    while trace is not None:
        code = trace.tb_frame.f_code
        found.append(f"{Path(code.co_filename).name}:{trace.tb_lineno} {code.co_name}")
        trace = trace.tb_next
    return found


def json_lines() -> logging.Formatter:
    """Return what writes a record of any library as one line of JSON."""
    before = [
        structlog.stdlib.add_log_level,
        structlog.stdlib.add_logger_name,
        structlog.stdlib.ExtraAdder(allow=SAID),
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        number,
    ]
    after = [
        without_address,
        where_it_broke,
        structlog.stdlib.ProcessorFormatter.remove_processors_meta,
        structlog.processors.JSONRenderer(ensure_ascii=False),
    ]
    return structlog.stdlib.ProcessorFormatter(foreign_pre_chain=before, processors=after)
