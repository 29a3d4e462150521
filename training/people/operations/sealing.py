"""Sealing the secrets of second factors, so that a copy of the database alone gives nobody a code.

What is kept is a Fernet token (AES-128-CBC and HMAC-SHA256). The keys are no part of the database nor of its copies:
the first of `settings.FACTOR_KEYS` seals, all of them unseal.
"""

from collections.abc import Callable
from typing import Any

from allauth.mfa.models import Authenticator
from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.db import transaction

# Where each kind of second factor keeps its secret; a passkey has none here, its private half stays on the device.
SECRETS = {Authenticator.Type.TOTP: "secret", Authenticator.Type.RECOVERY_CODES: "seed"}


class NoKey(ImproperlyConfigured):
    """There is no key of second factors, or it is none."""

    def __init__(self) -> None:
        super().__init__(
            "Set FERRULE_FACTOR_KEY, or FERRULE_FACTOR_KEY_FILE, to 32 random bytes in base64: openssl rand -base64 32"
        )


class OtherKey(ImproperlyConfigured):
    """A secret was sealed with a key that is not here, or was changed since."""

    def __init__(self) -> None:
        super().__init__(
            "The secrets of second factors do not open with this FERRULE_FACTOR_KEY: put the key they were sealed with "
            "among FERRULE_FACTOR_KEY_FALLBACKS. Where it is lost, people need a link for a lost second factor."
        )


def _keys() -> MultiFernet:
    try:
        return MultiFernet([Fernet(key) for key in settings.FACTOR_KEYS])
    except ValueError:
        raise NoKey from None  # the key itself must not get into a log


def seal(text: str) -> str:
    """Return a secret as it is kept. Raises NoKey."""
    return _keys().encrypt(text.encode()).decode()


def unseal(kept: str) -> str:
    """Return a secret that is kept; one that was never sealed is not believed. Raises NoKey or OtherKey."""
    try:
        return _keys().decrypt(kept).decode()
    except (InvalidToken, ValueError):  # the latter where it holds anything but ASCII
        raise OtherKey from None


def _again(kept: str) -> str:
    try:
        return _keys().rotate(kept).decode()
    except (InvalidToken, ValueError):
        raise OtherKey from None


@transaction.atomic
def seal_anew(change: Callable[[str], str] = _again, rows: Any = Authenticator.objects) -> int:
    """Seal every secret with the first key, and return how many; the old key can go then.

    A migration hands in its own rows, and what to do with each secret. Raises NoKey or OtherKey, and changes nothing.
    """
    held = rows.select_for_update().filter(type__in=SECRETS)
    for one in held:
        name = SECRETS[one.type]
        one.data[name] = change(one.data[name])
        one.save(update_fields=["data"])
    return len(held)
