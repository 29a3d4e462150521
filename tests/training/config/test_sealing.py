"""Secrets of second factors are sealed in the database, open with the keys of the settings only, and change keys."""

from base64 import b64decode, b64encode, urlsafe_b64decode
from importlib import import_module
from io import StringIO

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal import auth
from cryptography.fernet import Fernet
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection
from pytest_django import Settings

from tests.cast import Cast
from tests.passkeys import passkey
from training.config.factors import code_now
from training.keeping.checks import factors
from training.people import operations

NEW = b64encode(b"another key for the next year...").decode()
MIGRATION = import_module("training.migrations.0018_sealed_factors")


def app(cast: Cast) -> Authenticator:
    return Authenticator.objects.get(user=cast.tess, type="totp")


def codes(cast: Cast) -> list[str]:
    return Authenticator.objects.get(user=cast.tess, type="recovery_codes").wrap().generate_codes()


@pytest.fixture
def secret(cast: Cast) -> str:
    """The secret of an app that was set up just now, with recovery codes and a passkey."""
    made = auth.generate_totp_secret()
    auth.TOTP.activate(cast.tess, made)
    RecoveryCodes.activate(cast.tess)
    passkey(cast.tess)
    return made


def dumped() -> str:
    """Everything the table of second factors holds, as a thief of a copy would read it."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM mfa_authenticator")
        return str(cursor.fetchall())


class TestTheDatabase:
    def test_holds_no_secret_in_the_open(self, cast: Cast, secret: str) -> None:
        seed = operations.unseal(Authenticator.objects.get(type="recovery_codes").data["seed"])
        for plain in (secret, seed, *codes(cast)):
            assert plain not in dumped()

    def test_holds_tokens_as_the_fernet_specification_writes_them(self, secret: str, cast: Cast, settings) -> None:
        """Version 0x80, the time, the vector, AES-128 in CBC under the second half of the key, 32 bytes of MAC."""
        raw, key = urlsafe_b64decode(app(cast).data["secret"]), b64decode(settings.FACTOR_KEYS[0])
        assert raw[0] == 0x80
        opened = Cipher(algorithms.AES(key[16:]), modes.CBC(raw[9:25])).decryptor().update(raw[25:-32])
        assert opened[: -opened[-1]].decode() == secret

    def test_still_signs_in(self, cast: Cast, secret: str) -> None:
        counter = next(auth.yield_hotp_counters_from_time())
        assert code_now(app(cast)) == auth.format_hotp_value(auth.hotp_value(secret, counter))

    def test_is_not_believed_where_it_holds_an_unsealed_secret(self, cast: Cast, secret: str) -> None:
        """Whoever can write to the database must not bring a secret of their own."""
        Authenticator.objects.filter(pk=app(cast).pk).update(data={"secret": auth.generate_totp_secret()})
        with pytest.raises(operations.OtherKey):
            app(cast).wrap().validate_code("000000")

    def test_shows_a_changed_secret(self, cast: Cast, secret: str) -> None:
        kept = app(cast).data["secret"]
        other = kept[:40] + ("A" if kept[40] != "A" else "B") + kept[41:]
        for one in (other, "", "é", kept[:-1]):
            with pytest.raises(operations.OtherKey):
                operations.unseal(one)


class TestAnotherKey:
    def test_opens_nothing_without_the_old_one(self, cast: Cast, secret: str, settings: Settings) -> None:
        settings.FACTOR_KEYS = [NEW]
        with pytest.raises(operations.OtherKey, match="FERRULE_FACTOR_KEY_FALLBACKS"):
            code_now(app(cast))
        with pytest.raises(CommandError, match="FALLBACKS"):
            call_command("seal_factors", stdout=StringIO())

    def test_seals_while_the_old_one_opens_and_then_stands_alone(self, cast: Cast, secret: str, settings) -> None:
        before, old = codes(cast), settings.FACTOR_KEYS[0]
        settings.FACTOR_KEYS = [NEW, old]
        assert operations.unseal(app(cast).data["secret"]) == secret
        out = StringIO()
        call_command("seal_factors", stdout=out)
        assert "Sealed with the first key: 2." in out.getvalue()
        settings.FACTOR_KEYS = [NEW]
        assert operations.unseal(app(cast).data["secret"]) == secret
        assert codes(cast) == before
        settings.FACTOR_KEYS = [old]
        with pytest.raises(operations.OtherKey):
            operations.unseal(app(cast).data["secret"])

    def test_is_taken_from_openssl_as_it_is(self, settings: Settings) -> None:
        """`openssl rand -base64 32` writes + and / (RFC 4648, 4), where Fernet's own keys have - and _ (5)."""
        raw = b"\xfb\xef\xbe\xff" * 8
        settings.FACTOR_KEYS = [b64encode(raw).decode()]
        assert {"+", "/"} <= set(settings.FACTOR_KEYS[0])
        assert (
            Fernet(settings.FACTOR_KEYS[0].translate(str.maketrans("+/", "-_"))).decrypt(operations.seal("a")) == b"a"
        )

    @pytest.mark.parametrize("keys", [[], [""], ["too short"], [b64encode(b"sixteen bytes ok").decode()]])
    def test_that_is_none_is_refused_without_being_shown(self, settings: Settings, keys: list[str]) -> None:
        settings.FACTOR_KEYS = keys
        with pytest.raises(operations.NoKey, match="openssl rand") as refused:
            operations.seal("a")
        assert refused.value.__suppress_context__
        assert not [key for key in keys if key and key in str(refused.value)]


class TestUpgrade:
    def test_seals_what_stood_in_the_open_and_the_way_back_opens_it(self, cast: Cast, secret: str) -> None:
        """The migration's own functions on rows as they were before it."""
        before = codes(cast)

        class Editor:
            connection = connection

        MIGRATION.open_again(apps, Editor)
        assert secret in dumped()
        MIGRATION.close(apps, Editor)
        assert secret not in dumped()
        assert operations.unseal(app(cast).data["secret"]) == secret
        assert codes(cast) == before


class TestCheck:
    def test_is_silent_where_all_open(self, secret: str) -> None:
        assert factors(databases=["default"]) == []

    def test_says_that_a_restored_copy_needs_its_key(self, secret: str, settings: Settings) -> None:
        settings.FACTOR_KEYS = [NEW]
        (error,) = factors(databases=["default"])
        assert error.id == "training.E004"
        assert "FERRULE_FACTOR_KEY_FALLBACKS" in error.msg

    def test_says_that_there_is_no_key(self, settings: Settings) -> None:
        settings.FACTOR_KEYS = [""]
        (error,) = factors(databases=["default"])
        assert "Set FERRULE_FACTOR_KEY" in error.msg

    def test_asks_no_key_of_who_asks_no_database(self, settings: Settings) -> None:
        """Migrations are written, and looked for, where no site is."""
        settings.FACTOR_KEYS = [""]
        assert factors(databases=None) == []

    def test_lets_nobody_migrate_without_a_key(self, settings: Settings) -> None:
        """One of the migrations seals what stood in the open; none is begun, so no database is asked."""
        settings.FACTOR_KEYS = [""]
        with pytest.raises(CommandError, match="Set FERRULE_FACTOR_KEY"):
            call_command("migrate", skip_checks=False)
