"""The second factor as this site asks for it: codes of an app, passkeys, recovery codes."""

from typing import Any

from allauth.account.internal.flows.login import record_authentication
from allauth.core import context
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.base.forms import AuthenticateForm, ReauthenticateForm
from allauth.mfa.base.views import IndexView
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.forms import ActivateTOTPForm
from allauth.mfa.totp.internal import auth as totp
from allauth.mfa.utils import decrypt
from allauth.mfa.webauthn.forms import AddWebAuthnForm, EditWebAuthnForm
from allauth.mfa.webauthn.views import LoginWebAuthnView, RemoveWebAuthnView
from axes.handlers.proxy import AxesProxyHandler
from django import forms
from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from training.config.signin import sign_in_page
from training.config.throttle import count_failure, too_many
from training.config.typed import FIELD, bring
from training.people import operations
from training.people.access import viewer_for
from training.people.models import Person
from training.people.rules import Change, Role, asks_second_factor

CODE_PAGES = ("mfa_authenticate", "mfa_reauthenticate")
SECOND = (Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN)


class Factors(DefaultMFAAdapter):  # type: ignore[misc]
    """What allauth asks the site about second factors."""

    error_messages = DefaultMFAAdapter.error_messages | {
        "incorrect_code": _("This code is not right, or it was used already. Wait for the next one and type that."),
        "cannot_delete_authenticator": _(
            "Your role asks for a second factor: set up another one before this one goes."
        ),
        "cannot_generate_recovery_codes": _("Set up an app or a passkey first."),
    }

    def get_public_key_credential_rp_entity(self) -> dict[str, str]:
        """Name the site as the phone shows it beside the passkey."""
        return super().get_public_key_credential_rp_entity() | {"name": "Ferrule"}

    def _get_user_identifier(self, user: Person) -> str:
        # The user name, not the address of mail: it is what is typed here.
        return user.username

    def generate_authenticator_name(self, user: Person, type: Authenticator.Type) -> str:  # noqa: A002
        """Suggest a name for a passkey."""
        number = Authenticator.objects.filter(user=user, type=type).count() + 1
        return str(_("Passkey %(number)s") % {"number": number})

    def encrypt(self, text: str) -> str:
        """Seal a secret before it is kept."""
        return operations.seal(text)

    def decrypt(self, encrypted_text: str) -> str:
        """Open a secret that is kept."""
        return operations.unseal(encrypted_text)

    def can_delete_authenticator(self, authenticator: Authenticator) -> bool:
        """Keep the last second factor of whoever must have one."""
        others = Authenticator.objects.filter(user=authenticator.user, type__in=SECOND).exclude(pk=authenticator.pk)
        return others.exists() or not asks_second_factor(viewer_for(context.request, at=timezone.now()).roles)


def demo_code(request: HttpRequest) -> dict[str, str]:
    """Return the code an app would show now, for the page that asks for it; on a machine of the demo only.

    The demo's people are invented and have no phone. Everywhere else this returns nothing.
    """
    if not settings.DEMO or getattr(request.resolver_match, "view_name", "") not in CODE_PAGES:
        return {}
    stage = getattr(request, "_login_stage", None)
    person = stage.login.user if stage else request.user
    held = Authenticator.objects.filter(user_id=person.pk, type=Authenticator.Type.TOTP).first()
    return {"demo_code": code_now(held)} if held else {}


def code_now(held: Authenticator) -> str:
    """Return the code an app with this secret shows now."""
    counter = next(totp.yield_hotp_counters_from_time())
    return str(totp.format_hotp_value(totp.hotp_value(decrypt(held.data["secret"]), counter)))


def proved(person: Person, kind: str) -> None:
    """Note that this session showed a second factor: who has just set one up has it in the hand."""
    record_authentication(context.request, person, "mfa", type=kind)


def code_words(form: forms.Form, label: str, help_text: str) -> None:
    """Give the field of a code its words and the keys of a phone."""
    field = form.fields["code"]
    field.label, field.help_text = label, help_text
    field.error_messages["required"] = _("Type the code.")
    field.max_length = 20
    field.widget.attrs = {"autocomplete": "one-time-code", "inputmode": "numeric", "class": "short", "maxlength": "20"}


class Counted:
    """A form of a code: wrong ones count like wrong passwords, and stop with them."""

    user: Person
    authenticator: Authenticator

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        code_words(
            self,  # type: ignore[arg-type]
            _("Code"),
            _("The six digits your app shows now, or one of your recovery codes."),
        )

    def clean_code(self) -> str:
        """Refuse a wrong code, and any after too many."""
        if not AxesProxyHandler.is_allowed(context.request, {"username": self.user.username}):
            raise ValidationError(too_many())
        return str(super().clean_code())  # type: ignore[misc]

    def save(self) -> None:
        """Let the person in; tell them where it was by a recovery code, which somebody may have found."""
        super().save()  # type: ignore[misc]
        if self.authenticator.type == Authenticator.Type.RECOVERY_CODES:
            operations.tell(self.user, Change.CODE_USED, at=timezone.now())

    def _emit_authentication_failed(self, authenticator: Authenticator) -> None:
        super()._emit_authentication_failed(authenticator)  # type: ignore[misc]
        count_failure(context.request, self.user)


class CodeForm(Counted, AuthenticateForm):  # type: ignore[misc]
    """The second step of signing in."""


class CodeAgainForm(Counted, ReauthenticateForm):  # type: ignore[misc]
    """A code to show that it is still the same person."""


class AppForm(ActivateTOTPForm):  # type: ignore[misc]
    """The first code of an app, which proves that the app took the secret."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        code_words(self, _("Code"), _("The six digits the app shows now."))

    def clean_code(self) -> str:
        """Take the first code as proof."""
        code = str(super().clean_code())
        proved(self.user, Authenticator.Type.TOTP)
        return code


class PasskeyForm(AddWebAuthnForm):  # type: ignore[misc]
    """A new passkey. Always one that signs in by itself, so the page sends `passwordless` as ticked."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = _("Name (optional)")
        self.fields["name"].help_text = _("To tell it from others later, such as: my phone.")
        self.fields["name"].max_length = 60
        self.fields["credential"].error_messages["required"] = _("The device gave no passkey. Try again.")

    def clean(self) -> dict[str, Any]:
        """Take the passkey just made as proof."""
        cleaned: dict[str, Any] = super().clean()
        if cleaned.get("credential"):
            proved(self.user, Authenticator.Type.WEBAUTHN)
        return cleaned


class PasskeyNameForm(EditWebAuthnForm):  # type: ignore[misc]
    """Another name for a passkey."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].label = _("Name")
        self.fields["name"].max_length = 60
        self.fields["name"].error_messages["required"] = _("Give it a name, such as: my phone.")


class HowYouSignIn(IndexView):  # type: ignore[misc]
    """The page about one's own ways to sign in, with the way to those whom one may let in again."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Say whether that way is offered."""
        viewer = viewer_for(self.request, at=timezone.now())
        lets_in = viewer.has(Role.SUPERVISOR, Role.ADMINISTRATOR)
        return super().get_context_data(**kwargs) | {"lets_in": lets_in}


class RemovePasskey(RemoveWebAuthnView):  # type: ignore[misc]
    """Take a passkey away, unless it is the last second factor of whoever must have one."""

    def form_valid(self, form: forms.Form) -> HttpResponse:
        """Ask the same question that an app is asked; allauth asks it of apps only."""
        adapter = Factors()
        if not adapter.can_delete_authenticator(self.get_object()):
            messages.error(self.request, str(adapter.error_messages["cannot_delete_authenticator"]))
            return redirect("mfa_list_webauthn")
        return super().form_valid(form)


class PasskeySignIn(LoginWebAuthnView):  # type: ignore[misc]
    """Sign in with a passkey; what was typed when the session had ended comes along."""

    def form_valid(self, form: forms.Form) -> HttpResponse:
        """Go on to the form with it, where this is who had typed it."""
        page = bring(self.request, form.cleaned_data["credential"].user)
        response = super().form_valid(form)
        return redirect(page) if page and self.request.user.is_authenticated else response

    def form_invalid(self, form: forms.Form) -> HttpResponse:
        """Say what was wrong, and keep it in the page."""
        response = super().form_invalid(form)
        kept = self.request.POST.get(FIELD, "")
        return sign_in_page(self.request, kept) if kept else response


index = HowYouSignIn.as_view()
sign_in_with_passkey = PasskeySignIn.as_view()
remove_passkey = RemovePasskey.as_view()
