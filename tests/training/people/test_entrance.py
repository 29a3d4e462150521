"""Links to a first or a new password, and accounts that failed too often to try again."""

from datetime import timedelta

import pytest
import time_machine
from allauth.mfa.models import Authenticator
from axes.models import AccessFailureLog
from django.core import mail
from django.core.signing import Signer
from django.test import Client

from tests.cast import AT, ON, PASSWORD, Cast
from tests.passkeys import passkey
from tests.training.reply import page
from training.ledger.models import Entry
from training.people import access, operations
from training.people.models import Invitation, Person
from training.people.rules import FAILURES_IN_A_ROW, IdentityCheck, Purpose

NEW = "seven grey herons on a gate"
NOW = {"on": ON, "at": AT}


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel(AT, tick=False):
        yield


def link(cast: Cast, purpose: Purpose = Purpose.FORGOTTEN, person: Person | None = None) -> Invitation:
    who = {"by": cast.max, "person": person or cast.ada}
    return operations.invite(**who, purpose=purpose, checked=IdentityCheck.CALLED, **NOW)


def address(one: Invitation) -> str:
    return f"/people/start/{access.secret_of(one)}/"


def use(one: Invitation, password: str = NEW):
    return Client().post(address(one), {"password": password, "again": password})


class TestLink:
    def test_sets_a_password_once(self, cast: Cast) -> None:
        one = link(cast)
        assert Client().get(address(one)).status_code == 200
        assert use(one)["Location"] == "/account/login/"
        cast.ada.refresh_from_db()
        assert cast.ada.check_password(NEW)
        again = use(one, "another long pass phrase")
        assert again.status_code == 404
        assert "no longer good" in page(again)
        assert Person.objects.get(pk=cast.ada.pk).check_password(NEW)

    def test_lasts_seven_days_to_the_second(self, cast: Cast) -> None:
        one = link(cast)
        with time_machine.travel(AT + timedelta(days=7, seconds=-1), tick=False):
            assert Client().get(address(one)).status_code == 200
        with time_machine.travel(AT + timedelta(days=7), tick=False):
            assert Client().get(address(one)).status_code == 404
            assert use(one).status_code == 404

    def test_is_taken_back(self, cast: Cast) -> None:
        one = link(cast)
        assert operations.revoke(by=cast.max, person=cast.ada, **NOW) == 1
        assert use(one).status_code == 404

    def test_gives_way_to_a_newer_one(self, cast: Cast) -> None:
        old, new = link(cast), link(cast)
        assert use(old).status_code == 404
        assert use(new).status_code == 302

    def test_of_a_closed_account_leads_nowhere(self, cast: Cast) -> None:
        one = link(cast)
        operations.close_account(by=cast.max, person=cast.ada, **NOW)
        assert use(one).status_code == 404
        with pytest.raises(operations.Closed):
            link(cast, person=Person.objects.get(pk=cast.ada.pk))

    def test_is_signed_for_this_and_nothing_else(self, cast: Cast) -> None:
        one = link(cast)
        secret = access.secret_of(one)
        forged = [
            str(one.pk),
            secret[:-1] + ("A" if secret[-1] != "A" else "B"),
            Signer(salt="other").sign(str(one.pk)),
        ]
        for other in (*forged, secret.replace(str(one.pk), str(one.pk + 1), 1)):
            assert Client().get(f"/people/start/{other}/").status_code == 404

    def test_refuses_an_easy_password_and_two_that_differ(self, cast: Cast) -> None:
        one = link(cast)
        assert "15" in page(use(one, "short"))
        answer = Client().post(address(one), {"password": NEW, "again": f"{NEW}!"})
        assert "The two are not the same" in page(answer)
        assert use(one).status_code == 302

    def test_ends_every_session_and_signs_out_who_was_there(self, cast: Cast) -> None:
        client, other = cast.client("ada"), cast.client("ben")
        one = link(cast)
        other.post(address(one), {"password": NEW, "again": NEW})
        assert client.get("/").status_code == 302
        assert other.get("/").status_code == 302

    @pytest.mark.parametrize(("purpose", "left"), [(Purpose.FORGOTTEN, 1), (Purpose.FACTOR, 0)])
    def test_takes_the_second_factor_away_where_that_was_lost(self, cast: Cast, purpose: Purpose, left: int) -> None:
        passkey(cast.ada)
        use(link(cast, purpose))
        assert Authenticator.objects.filter(user=cast.ada).count() == left

    def test_writes_who_and_how_into_the_ledger_and_no_name(self, cast: Cast) -> None:
        one = link(cast, Purpose.FACTOR)
        use(one)
        made, used = Entry.objects.order_by("seq")
        assert (made.act, made.by, made.about["checked"]) == ("sign-in link made", cast.max.pk, "called")
        assert (used.act, used.by) == ("sign-in link used", cast.ada.pk)
        assert "Ada" not in f"{made.about}{used.about}"

    def test_for_oneself_is_left_to_another(self, cast: Cast) -> None:
        with pytest.raises(operations.NotForYourself):
            operations.invite(by=cast.max, person=cast.max, purpose=Purpose.FACTOR, checked=IdentityCheck.KNOWN, **NOW)

    def test_is_made_on_the_server_where_nobody_else_can(self, cast: Cast) -> None:
        one = operations.invite_from_the_server(person=cast.max, purpose=Purpose.FACTOR, at=AT)
        assert use(one).status_code == 302
        assert Entry.objects.order_by("seq").first().about["checked"] == "server"


def make(cast: Cast, **said: str):
    data = {"act": "invite", "invite-purpose": "forgotten", "invite-checked": "known"} | said
    return cast.client("max").post(f"/people/{cast.ada.pk}/", data)


class TestPage:
    def test_shows_the_link_once_and_mails_nothing_unasked(self, cast: Cast) -> None:
        body = page(make(cast))
        secret = access.secret_of(Invitation.objects.get())
        assert f"http://testserver/people/start/{secret}/" in body
        after = page(cast.client("max").get(f"/people/{cast.ada.pk}/"))
        assert secret not in after
        assert "A link is open until 2 Dec 2026" in after
        assert mail.outbox == []

    def test_mails_it_where_asked_without_a_password(self, cast: Cast) -> None:
        body = page(make(cast, **{"invite-by_mail": "on"}))
        assert "It was sent to ada@example.org" in body
        (sent,) = mail.outbox
        assert sent.to == ["ada@example.org"]
        assert access.secret_of(Invitation.objects.get()) in sent.body
        assert PASSWORD not in sent.body

    def test_says_where_the_mail_did_not_leave(self, cast: Cast, settings) -> None:
        settings.EMAIL_BACKEND, settings.EMAIL_HOST, settings.EMAIL_PORT = (
            "django.core.mail.backends.smtp.EmailBackend",
            "127.0.0.1",
            1,
        )
        assert "The mail did not leave" in page(make(cast, **{"invite-by_mail": "on"}))

    def test_asks_how_the_person_is_known(self, cast: Cast) -> None:
        assert "Say how you made sure who is asking" in page(make(cast, **{"invite-checked": ""}))
        assert not Invitation.objects.exists()

    def test_takes_it_back(self, cast: Cast) -> None:
        make(cast)
        cast.client("max").post(f"/people/{cast.ada.pk}/", {"act": "revoke"})
        assert Invitation.objects.get().revoked_at == AT


class TestShutOut:
    def fail(self, cast: Cast, times: int) -> None:
        row = {"username": cast.ada.username, "attempt_time": AT}
        AccessFailureLog.objects.bulk_create(AccessFailureLog(**row) for _ in range(times))

    def sign_in(self):
        # Capitals make no other account of it.
        return Client(REMOTE_ADDR="198.51.100.9").post("/account/login/", {"login": "ADA", "password": PASSWORD})

    def test_after_a_hundred_in_a_row_until_a_supervisor_lets_them_in(self, cast: Cast) -> None:
        self.fail(cast, FAILURES_IN_A_ROW - 1)
        assert self.sign_in().status_code == 302
        Person.objects.update(last_login=None)
        self.fail(cast, 1)
        answer = self.sign_in()
        assert answer.status_code == 429
        assert "Too many wrong tries" in page(answer)
        assert "Ada Crew" in page(cast.client("sol").get("/people/shut-out/"))
        assert "Ada Crew" not in page(cast.client("rex").get("/people/shut-out/"))
        assert cast.client("rex").post(f"/people/shut-out/{cast.ada.pk}/").status_code == 404
        assert cast.client("sol").post(f"/people/shut-out/{cast.ada.pk}/").status_code == 302
        entry = Entry.objects.get()
        assert (entry.act, entry.by, entry.about) == (
            "let in again",
            cast.sol.pk,
            {"person": cast.ada.pk, "failures": FAILURES_IN_A_ROW},
        )
        assert self.sign_in().status_code == 302

    def test_counts_from_the_last_time_it_went_well(self, cast: Cast) -> None:
        self.fail(cast, FAILURES_IN_A_ROW)
        Person.objects.filter(pk=cast.ada.pk).update(last_login=AT + timedelta(seconds=1))
        assert self.sign_in().status_code == 302

    def test_a_link_opens_it_as_well(self, cast: Cast) -> None:
        self.fail(cast, FAILURES_IN_A_ROW)
        use(link(cast))
        answer = Client().post("/account/login/", {"login": "ada", "password": NEW})
        assert answer.status_code == 302
