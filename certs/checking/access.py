"""How often one connection may ask: numbers must not be found by trying."""

from datetime import datetime

from allauth.account.adapter import get_adapter
from django.http import HttpRequest

from training.tokens.access import count, counted

# A gate sees a crew or two in a minute; a machine that tries numbers is stopped far below what it would need.
ASKED_A_MINUTE = 60
UNKNOWN_A_QUARTER = 10
MINUTE, QUARTER = 60, 900


def may_ask(request: HttpRequest, *, at: datetime) -> bool:
    """Count this question, and say whether it may be answered."""
    asked = count(_name("asked", request), seconds=MINUTE, at=at)
    unknown = counted(_name("unknown", request), seconds=QUARTER, at=at)
    return asked <= ASKED_A_MINUTE and unknown < UNKNOWN_A_QUARTER


def note_unknown(request: HttpRequest, *, at: datetime) -> None:
    """Count a number or code that the register does not know, whatever it looked like."""
    count(_name("unknown", request), seconds=QUARTER, at=at)


def _name(what: str, request: HttpRequest) -> str:
    return f"check:{what}:{get_adapter().get_client_ip(request)}"
