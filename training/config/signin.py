"""How allauth behaves here: accounts are made by an administrator, never by a visitor."""

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class ClosedDoor(DefaultAccountAdapter):  # type: ignore[misc]
    """Refuse sign-up; everything else is allauth's own."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Say no: an administrator adds people."""
        return False
