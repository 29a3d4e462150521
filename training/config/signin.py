"""How allauth behaves here: accounts are made by an administrator, never by a visitor."""

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import LoginForm
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _


class ClosedDoor(DefaultAccountAdapter):  # type: ignore[misc]
    """Refuse sign-up; everything else is allauth's own."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Say no: an administrator adds people."""
        return False


class SignIn(LoginForm):  # type: ignore[misc]
    """The sign-in form with its labels and sentences in plain words."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        login, password = self.fields["login"], self.fields["password"]
        login.label, password.label = _("User name"), _("Password")
        login.error_messages["required"] = _("Type your user name.")
        password.error_messages["required"] = _("Type your password.")
        for field in (login, password):
            field.widget.attrs.pop("placeholder", None)
