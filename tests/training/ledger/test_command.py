"""`manage.py ledger`: proving, and mailing the head."""

from io import StringIO

import pytest
from django.core import mail
from django.core.management import CommandError, call_command

from tests.cast import AT, Cast
from training.ledger.models import Entry
from training.ledger.operations import write
from training.people.models import Person

pytestmark = pytest.mark.django_db


def run(*arguments: str) -> str:
    said = StringIO()
    call_command("ledger", *arguments, stdout=said)
    return said.getvalue()


@pytest.fixture
def entries(cast: Cast) -> list[Entry]:
    return [write(by=cast.max.pk, act="card issued", about={"card": number}, at=AT) for number in range(1, 4)]


class TestLedger:
    def test_prints_the_head(self, entries):
        assert f"Its head: {entries[-1].seq} {entries[-1].mark}" in run()

    def test_has_no_head_before_the_first_act(self):
        assert "Its head: 0" in run()

    def test_finds_the_kept_head_again(self, entries):
        assert "whole" in run("--head", f"{entries[0].seq} {entries[0].mark[:16]}")

    def test_tells_that_the_end_was_cut_off(self, entries):
        kept = f"{entries[2].seq} {entries[2].mark}"
        entries[2].delete()
        assert "whole" in run()
        with pytest.raises(CommandError, match=r"entries are gone\. Stop issuing cards"):
            run("--head", kept)

    def test_tells_an_edit_and_a_gap(self, entries):
        Entry.objects.filter(pk=entries[1].pk).update(by=99)
        with pytest.raises(CommandError, match="was changed after it was written"):
            run()
        entries[1].delete()
        with pytest.raises(CommandError, match="is missing"):
            run()

    def test_refuses_what_is_no_head(self, entries):
        with pytest.raises(CommandError, match="as it is printed"):
            run("--head", "last")

    def test_mails_the_head_to_the_administrators_of_the_body(self, entries, cast: Cast):
        Person.objects.exclude(pk=cast.max.pk).update(email="")
        Person.objects.filter(pk=cast.max.pk).update(email="max@example.org")
        assert "1 mailed." in run("--mail")
        letter = mail.outbox[0]
        assert letter.to == ["max@example.org"]
        assert f'manage.py ledger --head "{entries[-1].seq} {entries[-1].mark}"' in letter.body
