"""Codes of an app, recovery codes and how wrong ones are counted."""

from base64 import b32encode
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
import time_machine
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal import auth
from django.conf import settings
from django.core.cache import cache
from django.db import connection
from django.test import Client

from tests.cast import AT, PASSWORD, Cast, assemble
from tests.passkeys import passkey
from tests.training.reply import page
from training.config.factors import code_now
from training.people.models import Person

# RFC 6238, Appendix B, the rows of SHA1: seconds since 1970, and the code of eight digits. Six are its last six.
SECRET = b32encode(b"12345678901234567890").decode()
VECTORS = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]


def app(person: Person) -> Authenticator:
    """Set up an app, with recovery codes."""
    RecoveryCodes.activate(person)
    return auth.TOTP.activate(person, auth.generate_totp_secret()).instance


def password(person: Person) -> Client:
    """Do the first step of signing in."""
    client = Client()
    answer = client.post("/account/login/", {"login": person.username, "password": PASSWORD})
    assert answer["Location"] == "/account/factor/code/"
    return client


def code(client: Client, typed: str):
    return client.post("/account/factor/code/", {"code": typed})


class TestVectors:
    @pytest.mark.parametrize(("at", "value"), VECTORS)
    def test_the_code_is_the_standards(self, at: int, value: str) -> None:
        with time_machine.travel(at, tick=False):
            counter = next(auth.yield_hotp_counters_from_time())
            assert auth.format_hotp_value(auth.hotp_value(SECRET, counter)) == value[-6:]
            assert auth.validate_totp_code(SECRET, value[-6:])

    def test_it_is_good_for_its_own_half_minute_only(self) -> None:
        for at, good in ((29, False), (30, True), (59, True), (60, False)):
            with time_machine.travel(at, tick=False):
                assert auth.validate_totp_code(SECRET, "287082") is good, at

    def test_the_setting_allows_no_other(self) -> None:
        assert settings.MFA_TOTP_TOLERANCE == 0
        assert settings.MFA_WEBAUTHN_USER_VERIFICATION == "required"
        assert not hasattr(settings, "MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN")


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
def test_a_code_is_accepted_once_by_all_workers_together() -> None:
    """Eight at once, each with a connection of its own as processes have; used codes stand in the shared table."""
    cache.clear()
    held = app(assemble().tess)
    barrier = Barrier(8)

    def use(_: int) -> bool:
        try:
            barrier.wait()
            return bool(Authenticator.objects.get(pk=held.pk).wrap().validate_code(typed))
        finally:
            connection.close()

    with time_machine.travel(AT, tick=False):
        typed = code_now(held)
        with ThreadPoolExecutor(8) as pool:
            assert sorted(pool.map(use, range(8))) == [False] * 7 + [True]
    assert settings.CACHES["default"]["BACKEND"] == "django.core.cache.backends.db.DatabaseCache"


class TestSigningIn:
    @pytest.fixture(autouse=True)
    def _no_code_was_used(self, db: None) -> None:
        cache.clear()

    def test_takes_password_and_code(self, cast: Cast) -> None:
        held, client = app(cast.tess), password(cast.tess)
        assert client.get("/")["Location"].startswith("/account/login/")
        assert code(client, code_now(held))["Location"] == "/"
        assert client.get("/signoffs/").status_code == 200

    @pytest.mark.both
    def test_takes_a_code_once(self, cast: Cast) -> None:
        held = app(cast.tess)
        with time_machine.travel(AT, tick=False):
            assert code(password(cast.tess), code_now(held))["Location"] == "/"
            again = code(password(cast.tess), code_now(held))
        assert "used already" in page(again)

    @pytest.mark.both
    def test_takes_a_recovery_code_once(self, cast: Cast) -> None:
        app(cast.tess)
        first = Authenticator.objects.get(user=cast.tess, type="recovery_codes").wrap().get_unused_codes()[0]
        assert code(password(cast.tess), first)["Location"] == "/"
        assert code(password(cast.tess), first).status_code == 200

    def test_shows_no_code_outside_the_demo(self, cast: Cast) -> None:
        held = app(cast.tess)
        body = page(password(cast.tess).get("/account/factor/code/"))
        assert "This is the demo" not in body
        assert code_now(held) not in body

    def test_shows_the_code_in_the_demo(self, cast: Cast, settings) -> None:
        settings.DEMO = True
        held = app(cast.tess)
        with time_machine.travel(AT, tick=False):
            assert code_now(held) in page(password(cast.tess).get("/account/factor/code/"))

    def test_wrong_codes_are_refused_after_five(self, cast: Cast) -> None:
        held, client = app(cast.tess), password(cast.tess)
        answers = [page(code(client, "000000")) for _ in range(6)]
        assert "This code is not right" in answers[0]
        assert "Too many wrong tries" in answers[5]
        assert "Too many wrong tries" in page(code(client, code_now(held)))

    def test_staff_keep_their_last_factor(self, cast: Cast) -> None:
        held = app(cast.tess)
        client = cast.client("tess")
        client.post("/account/again/", {"password": PASSWORD})
        assert "Your role asks for a second factor" in page(client.post("/account/factor/app/remove/"))
        passkey = Authenticator.objects.create(user=cast.tess, type="webauthn", data={"name": "Phone"})
        assert client.post("/account/factor/app/remove/").status_code == 302
        assert not Authenticator.objects.filter(pk=held.pk).exists()
        answer = client.post(f"/account/passkeys/{passkey.pk}/remove/", follow=False)
        assert answer["Location"] == "/account/passkeys/"
        assert Authenticator.objects.filter(pk=passkey.pk).exists()

    def test_crew_may_go_without(self, cast: Cast) -> None:
        app(cast.ada)
        client = cast.client("ada")
        client.post("/account/again/", {"password": PASSWORD})
        assert client.post("/account/factor/app/remove/").status_code == 302
        assert not Authenticator.objects.filter(user=cast.ada).exists()


class TestPasskeys:
    def test_of_others_are_nobodys_business(self, cast: Cast) -> None:
        theirs, client = passkey(cast.olga), cast.client("tess")
        client.post("/account/again/", {"password": PASSWORD})
        for url in (f"/account/passkeys/{theirs.pk}/", f"/account/passkeys/{theirs.pk}/remove/"):
            assert client.get(url).status_code == 404
            assert client.post(url, {"name": "Mine"}).status_code == 404

    def test_are_named_and_removed_by_their_owner(self, cast: Cast) -> None:
        mine, client = passkey(cast.ada), cast.client("ada")
        client.post("/account/again/", {"password": PASSWORD})
        client.post(f"/account/passkeys/{mine.pk}/", {"name": "The tablet"})
        assert "The tablet" in page(client.get("/account/passkeys/"))
        client.post(f"/account/passkeys/{mine.pk}/remove/")
        assert "You have no passkey." in page(client.get("/account/passkeys/"))


class TestOwnSessions:
    def test_are_listed_and_end_elsewhere(self, cast: Cast) -> None:
        # Left in the van: the form of such a text is that of RFC 9110, 10.1.5.
        here, there = Client(), Client(headers={"user-agent": "Mozilla/5.0 (Linux; Android 14)"})
        for client in (here, there):
            client.post("/account/login/", {"login": "ada", "password": PASSWORD})
        body = page(here.get("/account/sessions/"))
        assert "Android" in body
        pk = body.split("/people/sessions/")[1].split("/")[0]
        assert here.post(f"/people/sessions/{pk}/end/")["Location"] == "/account/sessions/"
        assert there.get("/").status_code == 302
        assert here.get("/").status_code == 200
