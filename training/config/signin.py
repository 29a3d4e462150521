"""How allauth behaves here: accounts are made by an administrator, never by a visitor."""

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import LoginForm, ReauthenticateForm
from django import forms
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from training.config.throttle import too_many

WAYS = {
    "reauthenticate": _("With your password"),
    "mfa_reauthenticate": _("With a code of your app, or a recovery code"),
    "mfa_reauthenticate:webauthn": _("With a passkey"),
}


class ClosedDoor(DefaultAccountAdapter):  # type: ignore[misc]
    """Refuse sign-up; everything else is allauth's own."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Say no: an administrator adds people."""
        return False

    def get_reauthentication_methods(self, user: AbstractBaseUser | AnonymousUser) -> list[dict[str, str]]:
        """Name the ways to show that it is you in plain words."""
        ways: list[dict[str, str]] = super().get_reauthentication_methods(user)
        return [way | {"description": str(WAYS[way["id"]])} for way in ways]


def _plain(field: forms.Field, label: str, required: str) -> None:
    field.label, field.error_messages["required"] = label, required
    field.widget.attrs.pop("placeholder", None)
    field.help_text = ""  # allauth's leads to a reset by mail, which this site does not have


class SignIn(LoginForm):  # type: ignore[misc]
    """The sign-in form with its labels and sentences in plain words."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        _plain(self.fields["login"], _("User name"), _("Type your user name."))
        _plain(self.fields["password"], _("Password"), _("Type your password."))

    def clean(self) -> object:
        """Say so where it was refused for too many wrong tries, instead of that the password is wrong."""
        try:
            return super().clean()
        except ValidationError:
            if getattr(self.request, "axes_locked_out", False):
                raise ValidationError(too_many()) from None
            raise


class ShowItIsYou(ReauthenticateForm):  # type: ignore[misc]
    """The password once more, before something is done in one's name."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        _plain(self.fields["password"], _("Password"), _("Type your password."))
