"""Who has a change of sign-in is told by mail, in their language, without secrets; a failed mail stops nothing."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import allauth
import pytest
import time_machine
from allauth.account.adapter import get_adapter
from allauth.core import context
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal import auth
from django.core import mail
from django.core.cache import cache
from django.db import transaction
from django.test import Client, RequestFactory

from tests.cast import AT, ON, PASSWORD, Cast
from tests.passkeys import passkey
from training.config.factors import code_now
from training.config.signin import CHANGES
from training.people import access, operations
from training.people.models import Person
from training.people.operations.telling import WORDS
from training.people.rules import Change, IdentityCheck, Purpose, Role

NEW = "seven grey herons on a gate"
NOW = {"on": ON, "at": AT}


@pytest.fixture(autouse=True)
def _today(db: None) -> Iterator[None]:
    cache.clear()
    with time_machine.travel(AT, tick=False):
        yield


@pytest.fixture
def told(django_capture_on_commit_callbacks) -> Callable[..., list[str]]:
    """Do something, as if it were kept, and return the mails that left for somebody."""

    def done(act: Callable[[], object], to: str = "ada@example.org") -> list[str]:
        mail.outbox.clear()
        with django_capture_on_commit_callbacks(execute=True):
            act()
        assert {address for one in mail.outbox for address in one.to} <= {to}
        return [one.body for one in mail.outbox]

    return done


def app(person: Person) -> Authenticator:
    return auth.TOTP.activate(person, auth.generate_totp_secret()).instance


def proved(cast: Cast, who: str = "ada") -> Client:
    """A client signed in, that has just typed its password again."""
    client = cast.client(who)
    client.post("/account/again/", {"password": PASSWORD})
    return client


class TestOwnChanges:
    """One's own pages: whoever holds the session may not be its owner."""

    def test_password(self, cast: Cast, told) -> None:
        typed = {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}
        (body,) = told(lambda: proved(cast).post("/account/password/change/", typed))
        assert "Your password was changed." in body
        assert NEW not in body
        assert PASSWORD not in body

    def test_app_set_up_and_taken_away(self, cast: Cast, told) -> None:
        client = proved(cast)
        client.get("/account/factor/app/")
        secret = client.session["mfa.totp.secret"]
        counter = next(auth.yield_hotp_counters_from_time())
        code = auth.format_hotp_value(auth.hotp_value(secret, counter))
        (added,) = told(lambda: client.post("/account/factor/app/", {"code": code}))
        assert "An app that shows sign-in codes was set up" in added
        assert secret not in added
        assert code not in added
        (removed,) = told(lambda: client.post("/account/factor/app/remove/"))
        assert "was taken away" in removed

    def test_passkey_taken_away(self, cast: Cast, told) -> None:
        held, client = passkey(cast.ada), proved(cast)
        (body,) = told(lambda: client.post(f"/account/passkeys/{held.pk}/remove/"))
        assert "A passkey was taken away" in body

    def test_recovery_codes_made_anew(self, cast: Cast, told) -> None:
        app(cast.ada)
        client = proved(cast)
        (body,) = told(lambda: client.post("/account/factor/recovery/new/"))
        assert "New recovery codes" in body
        made = Authenticator.objects.get(type="recovery_codes").wrap().get_unused_codes()
        assert not [code for code in made if code in body]

    def test_recovery_code_used_at_sign_in_but_no_word_of_the_app(self, cast: Cast, told) -> None:
        held, codes = app(cast.ada), RecoveryCodes.activate(cast.ada).get_unused_codes()

        def come(code: str) -> None:
            client = Client()
            client.post("/account/login/", {"login": "ada", "password": PASSWORD})
            assert client.post("/account/factor/code/", {"code": code})["Location"] == "/"

        (body,) = told(lambda: come(codes[0]))
        assert "One of your recovery codes was used." in body
        assert codes[0] not in body
        assert told(lambda: come(code_now(held))) == []

    def test_recovery_code_used_to_show_that_it_is_them(self, cast: Cast, told) -> None:
        app(cast.ada)
        codes, client = RecoveryCodes.activate(cast.ada).get_unused_codes(), cast.client("ada")
        (body,) = told(lambda: client.post("/account/factor/code/again/", {"code": codes[1]}))
        assert "One of your recovery codes was used." in body

    def test_sessions_ended_from_another_browser(self, cast: Cast, told) -> None:
        here, there = Client(), Client()
        for client in (here, there):
            client.post("/account/login/", {"login": "ada", "password": PASSWORD})
        (body,) = told(lambda: here.post("/account/sessions/"))
        assert "from another one" in body
        assert there.get("/").status_code == 302
        assert told(lambda: here.post("/account/sessions/")) == []


class TestChangesByOthers:
    def test_a_link_was_used(self, cast: Cast, told) -> None:
        for purpose, words in ((Purpose.FORGOTTEN, "a new password was set"), (Purpose.FACTOR, "passkeys were taken")):
            facts = {"by": cast.max, "person": cast.ada, "purpose": purpose, "checked": IdentityCheck.KNOWN}
            link = f"/people/start/{access.secret_of(operations.invite(**facts, **NOW))}/"
            (body,) = told(lambda link=link: Client().post(link, {"password": NEW, "again": NEW}))
            assert words in body
            assert link not in body

    def test_a_role_was_given_to_somebody_who_was_signed_in(self, cast: Cast, told) -> None:
        give = {"by": cast.max, "person": cast.ada, "role": Role.SUPERVISOR, "from_on": ON, "until_on": None}
        Client().post("/account/login/", {"login": "ada", "password": PASSWORD})
        (body,) = told(lambda: operations.give_role(**give, **NOW))
        assert "You were signed out everywhere" in body

    def test_nobody_is_told_who_had_no_session(self, cast: Cast, told) -> None:
        assert told(lambda: operations.close_account(by=cast.max, person=cast.ada, **NOW)) == []

    def test_what_was_not_kept_is_not_told(self, cast: Cast, told) -> None:
        def undone() -> None:
            with transaction.atomic():
                operations.tell(cast.ada, Change.PASSWORD, at=AT)
                transaction.set_rollback(True)

        assert told(undone) == []


class TestMail:
    def test_says_when_by_the_clock_of_the_employer_and_what_to_do(self, cast: Cast, told) -> None:
        cast.northmoor.zone = "America/Chicago"
        cast.northmoor.save()
        person = Person.objects.get(pk=cast.ada.pk)
        (body,) = told(lambda: operations.tell(person, Change.PASSWORD, at=AT))
        assert "This was on 25 Nov 2026, 03:00 CST." in body  # 09:00 UTC, six hours behind by the zone database
        assert "tell your supervisor or an administrator at once" in body
        assert "http" not in body

    @pytest.mark.parametrize(("language", "words"), [("es", "Fue el"), ("fr", "C'était le")])
    def test_is_in_the_language_of_who_reads_it(self, cast: Cast, told, language: str, words: str) -> None:
        cast.ada.language = language
        for change in Change:
            (body,) = told(lambda change=change: operations.tell(cast.ada, change, at=AT))
            assert words in body
            assert str(WORDS[change]) not in body

    def test_is_plain_text(self, cast: Cast, told) -> None:
        cast.ada.name = "Ada <b>O'Crew</b>"
        (body,) = told(lambda: operations.tell(cast.ada, Change.PASSWORD, at=AT))
        assert "Good day Ada <b>O'Crew</b>," in body
        (sent,) = mail.outbox
        assert sent.content_subtype == "plain"
        assert not getattr(sent, "alternatives", [])

    def test_goes_to_nobody_without_an_address(self, cast: Cast, told) -> None:
        cast.ada.email = ""
        assert told(lambda: operations.tell(cast.ada, Change.PASSWORD, at=AT)) == []

    @pytest.mark.parametrize("backend", ["smtp", "none.such"])
    def test_that_does_not_leave_stops_nothing(self, cast: Cast, told, settings, backend: str) -> None:
        """No server answers at that port; and a backend that is not there fails in another way."""
        settings.EMAIL_BACKEND = f"django.core.mail.backends.{backend}.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
        typed = {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}
        client = proved(cast)
        assert told(lambda: client.post("/account/password/change/", typed)) == []
        assert Person.objects.get(pk=cast.ada.pk).check_password(NEW)
        assert client.get("/").status_code == 200


class TestTheLibrarysHooks:
    def test_are_each_known(self) -> None:
        """Every mail that the parts of allauth in use would send, by their own source."""
        root = Path(allauth.__file__).parent
        files = [root / "account/internal/flows/password_change.py", *(root / "mfa").rglob("flows.py")]
        asked = {name for file in files for name in re.findall(r'"((?:account|mfa)/email/\w+)"', file.read_text())}
        assert asked - {"account/email/password_set"} == set(CHANGES)  # nobody here has an account without a password

    def test_a_later_one_is_told_in_general_words(self, cast: Cast, told) -> None:
        with context.request_context(RequestFactory().get("/")):
            (body,) = told(lambda: get_adapter().send_notification_mail("mfa/email/something_new", cast.ada))
            assert "Something about how you sign in was changed." in body
            (body,) = told(lambda: get_adapter().send_notification_mail("mfa/email/webauthn_added", cast.ada))
            assert "A passkey was added" in body
