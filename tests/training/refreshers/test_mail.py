"""Reminders by mail: who gets one, once a day, over Django's own test box and over a real server on this machine."""

from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core import mail
from django.core.management import CommandError, call_command

from tests.cast import AT, ON, Cast
from tests.mailbox import Box
from tests.training.refreshers.answers import answered
from training.people.models import Person
from training.refreshers import operations, queries
from training.refreshers.models import Reminder

DAY = timedelta(days=1)


@pytest.fixture
def due(site: Cast) -> Person:
    """Ada, whose refresher on setting up is due, and who asked for mail; Ben, who did not."""
    for person in (site.ada, site.ben):
        answered(person, "setup", ON - 20 * DAY)
    operations.choose_mail(person=site.ada, wanted=True, at=AT)
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

    @pytest.mark.parametrize(
        ("language", "subject", "words"),
        [
            ("es", "Hay repasos pendientes", ["Hola, Ada Crew:", "le toca este repaso", "quite la marca aquí:"]),
            ("fr", "Des rappels sont à faire", ["Bonjour Ada Crew,", "ce rappel est à faire", "ôtez la coche ici :"]),
        ],
    )
    def test_writes_in_the_language_that_was_chosen(
        self, due: Person, box: Box, language: str, subject: str, words: list[str]
    ):
        """Over a real server, letters with accents and all."""
        Person.objects.filter(pk=due.pk).update(language=language)
        run()
        assert box.subjects(due) == [subject]
        (said,) = box.to(due)
        assert all(one in said for one in words)
        assert "- Setting up: https://cards.example.org/refreshers/setup/" in said
        assert "this" not in said

    def test_costs_the_same_for_many(self, due: Person, site: Cast, django_assert_num_queries):
        operations.choose_mail(person=site.ben, wanted=True, at=AT)
        with django_assert_num_queries(4):
            assert len(list(queries.letters(at=AT))) == 2


class TestRealServer:
    def test_takes_the_mail(self, due: Person, box: Box):
        run()
        (text,) = box.to(due)
        assert box.subjects(due) == ["Refreshers are due"]
        assert "/refreshers/setup/" in text
        assert Reminder.objects.get().sent_at

    def test_that_refuses_is_reported_and_not_tried_again_that_day(self, due: Person, site: Cast, box: Box):
        box.refuses = {"ada@example.org"}
        with pytest.raises(CommandError, match="ada"):
            run()
        assert Reminder.objects.get().sent_at is None
        box.refuses = set()
        assert "0 sent, 0 not sent." in run()
        assert box.mails == []
