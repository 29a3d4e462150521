"""How often one connection may ask: numbers must not be found by trying."""

from allauth.account.adapter import get_adapter
from django.core.cache import cache
from django.http import HttpRequest

# A gate sees a crew or two in a minute; a machine that tries numbers is stopped far below what it would need.
ASKED_A_MINUTE = 60
UNKNOWN_A_QUARTER = 10
MINUTE, QUARTER = 60, 900


def may_ask(request: HttpRequest) -> bool:
    """Count this question, and say whether it may be answered."""
    return _count(_name("asked", request), MINUTE) <= ASKED_A_MINUTE and not _tries_numbers(request)


def note_unknown(request: HttpRequest) -> None:
    """Count a number or code that the register does not know, whatever it looked like."""
    _count(_name("unknown", request), QUARTER)


def _tries_numbers(request: HttpRequest) -> bool:
    return int(cache.get(_name("unknown", request), 0)) >= UNKNOWN_A_QUARTER


def _name(what: str, request: HttpRequest) -> str:
    return f"check:{what}:{get_adapter().get_client_ip(request)}"


def _count(name: str, seconds: int) -> int:
    cache.add(name, 0, seconds)
    try:
        return cache.incr(name)
    except ValueError:  # it ran out between the two lines
        return 1
