"""Mails that did not leave: kept with their act, sent later and once, and never waited for long."""

import socket
import time
from collections.abc import Iterator
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.management import call_command
from django.db import transaction

from tests.cast import AT, Cast
from tests.mailbox import Box
from training.mail.models import UnsentMail
from training.mail.operations import send_now, send_waiting, write_down
from training.mail.queries import Waiting, waiting
from training.mail.rules import AGAIN_AFTER, GIVEN_UP_AFTER, PATIENCE_S
from training.people.models import Person
from training.people.operations import tell
from training.people.rules import Change

pytestmark = pytest.mark.django_db
SOON = AT + AGAIN_AFTER


@pytest.fixture
def hanging(settings: Any) -> Iterator[socket.socket]:
    """A server that takes every connection and says nothing (RFC 5321, 4.5.3.2: a client may wait minutes for it)."""
    settings.EMAIL_BACKEND, settings.EMAIL_HOST = "django.core.mail.backends.smtp.EmailBackend", "127.0.0.1"
    with socket.create_server(("127.0.0.1", 0)) as server:
        settings.EMAIL_PORT = server.getsockname()[1]
        yield server


def news(person: Person, subject: str = "News") -> UnsentMail:
    return write_down(person=person.pk, subject=subject, body="It was changed.\n", at=AT)


class TestWaiting:
    def test_goes_once_it_has_left(self, cast: Cast, box: Box) -> None:
        assert send_now([news(cast.ada), news(cast.ben)]) == []
        assert [one["To"] for one in box.mails] == [cast.ada.email, cast.ben.email]
        assert not UnsentMail.objects.exists()

    def test_one_refused_holds_up_no_other_and_is_sent_later_once(self, cast: Cast, box: Box) -> None:
        box.refuses.add(cast.ada.email)
        first = news(cast.ada)
        assert send_now([first, news(cast.ben)]) == [first]
        assert waiting() == Waiting(1, AT)
        # Whoever wrote it may be sending it still.
        assert send_waiting(at=SOON - timedelta(seconds=1)) == (0, 1)
        box.refuses.clear()
        assert send_waiting(at=SOON) == (1, 0)
        assert send_waiting(at=SOON + AGAIN_AFTER) == (0, 0)
        assert box.subjects(cast.ada) == ["News"]

    def test_a_server_that_hangs_costs_one_wait(self, cast: Cast, hanging: socket.socket) -> None:
        mails, began = [news(cast.ada), news(cast.ben), news(cast.sol)], time.monotonic()
        assert send_now(mails, patience=0.3) == mails
        assert 0.3 <= time.monotonic() - began < 0.9
        assert waiting() == Waiting(3, AT)

    def test_is_sent_again_where_a_process_died_between(self, cast: Cast, box: Box, monkeypatch: Any) -> None:
        """The mail has left and its row is still there: at least once."""
        mail = news(cast.ada)
        with monkeypatch.context() as dying:
            dying.setattr(UnsentMail, "delete", lambda _mail: (_ for _ in ()).throw(KeyboardInterrupt))
            with pytest.raises(KeyboardInterrupt):
                send_now([mail])
        assert send_waiting(at=SOON) == (1, 0)
        assert box.subjects(cast.ada) == ["News", "News"]

    def test_two_rounds_at_once_send_it_once(self, cast: Cast, box: Box, monkeypatch: Any) -> None:
        """The second has found the mail, too, before the first took it."""
        news(cast.ada)
        found = list(UnsentMail.objects.select_related("person"))
        assert send_waiting(at=SOON) == (1, 0)
        UnsentMail.objects.bulk_create(found)
        UnsentMail.objects.update(tried_at=SOON)
        monkeypatch.setattr("django.db.models.query.QuerySet.order_by", lambda _rows, *_fields: found)
        assert send_waiting(at=SOON) == (0, 1)

    def test_is_given_up_and_forgotten_after_three_days(self, cast: Cast, box: Box, caplog: Any) -> None:
        news(cast.ada)
        assert send_waiting(at=AT + GIVEN_UP_AFTER + timedelta(seconds=1)) == (0, 0)
        assert (box.mails, UnsentMail.objects.count()) == ([], 0)
        assert "1 mails were given up" in caplog.text

    def test_goes_with_an_address_that_is_gone(self, cast: Cast, box: Box) -> None:
        news(cast.ada)
        Person.objects.filter(pk=cast.ada.pk).update(email="")
        assert send_waiting(at=SOON) == (1, 0)
        assert box.mails == []

    def test_the_command_says_how_many(self, cast: Cast, box: Box) -> None:
        box.refuses.add(cast.ben.email)
        news(cast.ada), news(cast.ben)
        said = StringIO()
        with time_machine.travel(SOON, tick=False):
            call_command("send_mail_waiting", stdout=said)
        assert said.getvalue() == "1 sent, 1 waiting.\n"


class TestNewsOfASignIn:
    def test_is_kept_with_its_act_or_not_at_all(self, cast: Cast) -> None:
        with pytest.raises(KeyboardInterrupt), transaction.atomic():
            tell(cast.ada, Change.PASSWORD, at=AT)
            assert UnsentMail.objects.count() == 1
            raise KeyboardInterrupt
        assert not UnsentMail.objects.exists()

    def test_waits_where_the_server_is_away(
        self, cast: Cast, hanging: socket.socket, django_capture_on_commit_callbacks: Any, monkeypatch: Any
    ) -> None:
        """The answer comes within a few seconds, and the mail with the next round but one."""
        assert PATIENCE_S <= 5
        monkeypatch.setattr("training.mail.operations.waiting.send_now.__kwdefaults__", {"patience": 0.3})
        began = time.monotonic()
        with django_capture_on_commit_callbacks(execute=True):
            tell(cast.ada, Change.PASSWORD, at=AT)
        assert time.monotonic() - began < 0.9
        assert UnsentMail.objects.get().person == cast.ada


class TestSafeKeeping:
    @pytest.mark.parametrize(
        ("minutes", "word", "says"), [(59, "good", "UTC"), (61, "look", "look at the mail server")]
    )
    def test_says_how_many_wait_and_since_when(self, cast: Cast, minutes: int, word: str, says: str) -> None:
        news(cast.ada)
        with time_machine.travel(AT + timedelta(minutes=minutes), tick=False):
            client = cast.client("max")
            page = " ".join(client.get("/keeping/").text.split())
            answer = client.get("/health/")
        assert (answer.status_code, answer.json()["mail"]) == (200, word)
        assert "1, the oldest since 25 Nov 2026, 09:00 UTC" in page
        assert says in page
