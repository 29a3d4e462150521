"""Reminders by mail: who gets one, once a day, over Django's own test box and over a real server on this machine."""

import socketserver
import threading
from collections.abc import Iterator
from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core import mail
from django.core.management import CommandError, call_command
from django.template.loader import render_to_string
from django.utils import translation

from tests.cast import AT, ON, Cast
from tests.training.refreshers.answers import answered
from training.management.commands import send_refreshers
from training.people.models import Person
from training.refreshers import operations, queries
from training.refreshers.models import Reminder

DAY = timedelta(days=1)


@pytest.fixture
def due(site: Cast) -> Person:
    """Ada, whose refresher on setting up is due, and who asked for mail; Ben, who did not."""
    for person in (site.ada, site.ben):
        answered(person, "setup", ON - 20 * DAY)
    operations.choose_mail(person=site.ada, wanted=True, language="en", at=AT)
    return site.ada


def run(*arguments: str) -> str:
    out = StringIO()
    call_command("send_refreshers", *arguments, stdout=out)
    return out.getvalue()


class TestSend:
    def test_writes_to_who_asked_and_what_is_due(self, due: Person):
        assert "1 sent, 0 not sent." in run()
        (letter,) = mail.outbox
        assert letter.to == ["ada@example.org"]
        assert letter.subject == "Refreshers are due"
        assert "Hello Ada Crew," in letter.body
        assert "- Setting up: https://cards.example.org/refreshers/setup/" in letter.body
        assert "To end it" in letter.body
        assert "\n\n\n" not in letter.body
        reminder = Reminder.objects.get()
        assert (reminder.person, reminder.on, reminder.topics) == (due, ON, ["setup"])
        assert reminder.sent_at

    def test_writes_nothing_in_a_dry_run(self, due: Person):
        assert run("--dry-run") == "ada: setup\n0 sent, 0 not sent.\n"
        assert mail.outbox == []
        assert not Reminder.objects.exists()

    def test_writes_once_a_day(self, due: Person):
        run()
        answered(due, "firing", ON - 20 * DAY)
        assert "0 sent" in run()
        assert len(mail.outbox) == 1

    def test_names_the_same_again_after_a_week_and_a_new_one_before(self, due: Person):
        run()
        with time_machine.travel(AT + DAY, tick=False):
            run()
            assert len(mail.outbox) == 1
            answered(due, "firing", ON - 20 * DAY)
            run()
            assert "Firing" in mail.outbox[1].body
        with time_machine.travel(AT + 9 * DAY, tick=False):
            run()
        assert len(mail.outbox) == 3

    @pytest.mark.parametrize("change", [{"is_active": False}, {"email": ""}])
    def test_leaves_out_who_cannot_read_it(self, due: Person, change):
        Person.objects.filter(pk=due.pk).update(**change)
        run()
        assert mail.outbox == []

    def test_writes_in_the_language_that_was_chosen(self, due: Person, monkeypatch):
        spoken = []

        def render(*given):
            spoken.append(translation.get_language())
            return render_to_string(*given)

        operations.choose_mail(person=due, wanted=True, language="es", at=AT)
        monkeypatch.setattr(send_refreshers, "render_to_string", render)
        run()
        assert spoken == ["es"]

    def test_costs_the_same_for_many(self, due: Person, site: Cast, django_assert_num_queries):
        operations.choose_mail(person=site.ben, wanted=True, language="en", at=AT)
        with django_assert_num_queries(4):
            assert len(list(queries.letters(at=AT))) == 2


class Box(socketserver.StreamRequestHandler):
    """The server's side of one connection, as RFC 5321 has it: a greeting, commands, and the text up to a lone dot."""

    got: list[str]
    refuses = False

    def handle(self) -> None:
        self.wfile.write(b"220 ready\r\n")
        for line in self.rfile:
            verb = line[:4].upper()
            if verb == b"DATA":
                self.wfile.write(b"354 go on\r\n")
                lines = iter(self.rfile.readline, b".\r\n")
                self.got.append(b"".join(lines).decode())
                self.wfile.write(b"250 taken\r\n")
            elif verb == b"QUIT":
                self.wfile.write(b"221 bye\r\n")
                return
            elif verb == b"RCPT" and self.refuses:
                self.wfile.write(b"550 nobody of that name\r\n")
            else:
                self.wfile.write(b"250 good\r\n")


@pytest.fixture
def box(settings) -> Iterator[type[Box]]:
    """A mail server on a free port of this machine, which Django is told to use."""
    handler = type("Box", (Box,), {"got": []})
    with socketserver.ThreadingTCPServer(("127.0.0.1", 0), handler) as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = server.server_address
        settings.EMAIL_TIMEOUT = 10
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        yield handler
        server.shutdown()
        thread.join()


class TestRealServer:
    def test_takes_the_mail(self, due: Person, box: type[Box]):
        run()
        (text,) = box.got
        assert "To: ada@example.org" in text
        assert "Refreshers are due" in text
        assert "/refreshers/setup/" in text
        assert Reminder.objects.get().sent_at

    def test_that_refuses_is_reported_and_not_tried_again_that_day(self, due: Person, site: Cast, box: type[Box]):
        box.refuses = True
        with pytest.raises(CommandError, match="ada"):
            run()
        assert Reminder.objects.get().sent_at is None
        box.refuses = False
        assert "0 sent, 0 not sent." in run()
        assert box.got == []
