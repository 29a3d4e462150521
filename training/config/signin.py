"""How allauth behaves here: accounts are made by an administrator, never by a visitor."""

from collections.abc import Mapping, Sequence

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import ChangePasswordForm, LoginForm, ReauthenticateForm
from allauth.usersessions.adapter import DefaultUserSessionsAdapter
from allauth.usersessions.models import UserSession
from allauth.usersessions.views import ListUserSessionsView
from django import forms
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import add_never_cache_headers
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.config.agents import browser_and_system
from training.config.throttle import too_many
from training.config.typed import FIELD, bring
from training.people import operations
from training.people.models import Person
from training.people.rules import Change

WAYS = {
    "reauthenticate": _("With your password"),
    "mfa_reauthenticate": _("With a code of your app, or a recovery code"),
    "mfa_reauthenticate:webauthn": _("With a passkey"),
}
# What allauth would mail about, by its names; what a later one adds is told in general words.
CHANGES: Mapping[str, Change] = {
    "account/email/password_changed": Change.PASSWORD,
    "mfa/email/totp_activated": Change.APP_ADDED,
    "mfa/email/totp_deactivated": Change.APP_REMOVED,
    "mfa/email/webauthn_added": Change.PASSKEY_ADDED,
    "mfa/email/webauthn_removed": Change.PASSKEY_REMOVED,
    "mfa/email/recovery_codes_generated": Change.CODES_MADE,
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

    def send_notification_mail(self, template_prefix: str, user: Person, *_args: object, **_more: object) -> None:
        """Tell a person of a change in the words and the way of this site."""
        operations.tell(user, CHANGES.get(template_prefix, Change.OTHER), at=timezone.now())


class OwnSessions(DefaultUserSessionsAdapter):  # type: ignore[misc]
    """Sessions that their person ends all at once."""

    def end_sessions(self, sessions: Sequence[UserSession]) -> None:
        """End them, and tell the person once."""
        super().end_sessions(sessions)
        if sessions:
            operations.tell(sessions[0].user, Change.SIGNED_OUT_THERE, at=timezone.now())


def _told(user_agent: str) -> str:
    browser, system = browser_and_system(user_agent)
    if browser and system:
        return gettext("%(browser)s on %(system)s") % {"browser": browser, "system": system}
    return browser or system or gettext("A browser that does not say which")


class ListSessions(ListUserSessionsView):  # type: ignore[misc]
    """A person's own sessions, each by the name of its browser."""

    def get_context_data(self, **kwargs: object) -> dict[str, object]:
        """Add the names."""
        context: dict[str, object] = super().get_context_data(**kwargs)
        context["sessions"] = [(one, _told(one.user_agent)) for one in context["sessions"]]
        return context


list_sessions = ListSessions.as_view()


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

    def login(self, request: HttpRequest, redirect_url: str | None = None) -> HttpResponse:
        """Go on to the form that was sent after the session had ended, where this is who had typed it."""
        return super().login(request, redirect_url=bring(request, self.user) or redirect_url)

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


class ChangePassword(ChangePasswordForm):  # type: ignore[misc]
    """The old password and the new one twice; the page says above them what a password has to be."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        _plain(self.fields["oldpassword"], _("Password you have now"), _("Type the password you have now."))
        _plain(self.fields["password1"], _("New password"), _("Type a new password."))
        _plain(self.fields["password2"], _("New password once more"), _("Type the new password once more."))


def sign_in_page(request: HttpRequest, kept: str) -> HttpResponse:
    """Return the sign-in page with what was typed in it."""
    response = render(request, "account/login.html", {"form": SignIn(request=request), FIELD: kept})
    add_never_cache_headers(response)
    return response
