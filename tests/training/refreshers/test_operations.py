"""Opening, answering, counting work, choosing mail."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.cast import AT, ON, Cast
from tests.training.refreshers.answers import answer_right, answered, right
from training.bank.models import Question
from training.bank.operations import AskAgain
from training.ledger.models import Entry
from training.refreshers import operations, queries
from training.refreshers.models import Drill, MailChoice, Reminder, WorkDone

DAY = timedelta(days=1)


class TestOpen:
    def test_asks_three_questions_for_practice(self, drill: Drill):
        assert len(set(drill.keys)) == 3
        assert set(drill.keys) < {"drop-1", "drop-2", "chain-1", "chain-2"}
        assert [one["shown"]["key"] for one in drill.asked] == drill.keys

    def test_changes_nothing_a_second_time_that_day(self, site: Cast, drill: Drill):
        again = operations.open_drill(person=site.ada, topic="setup", language="en", seed="s2", on=ON, at=AT + DAY / 9)
        assert (again.pk, again.seed) == (drill.pk, "s1")

    def test_asks_next_day_what_was_not_shown(self, site: Cast, drill: Drill):
        later = operations.open_drill(
            person=site.ada, topic="setup", language="en", seed="s2", on=ON + DAY, at=AT + DAY
        )
        assert later.keys[0] not in drill.keys

    def test_leaves_out_papers_and_what_is_out_of_use(self, site: Cast):
        Question.objects.exclude(key="drop-1").update(retired_at=AT)
        made = operations.open_drill(person=site.ada, topic="setup", language="en", seed="s", on=ON, at=AT)
        assert made.keys == ["drop-1"]
        with pytest.raises(operations.NothingToAsk):
            operations.open_drill(person=site.ada, topic="firing", language="en", seed="s", on=ON, at=AT)

    def test_asks_in_the_language_there_is(self, site: Cast):
        assert set(queries.pool("setup", language="xx")) == {"drop-1", "drop-2", "chain-1", "chain-2"}


class TestAnswer:
    def test_is_right_when_every_part_is(self, drill: Drill):
        assert answer_right(drill, at=AT).outcome == "right"

    def test_is_helped_when_the_person_says_so(self, drill: Drill):
        assert answer_right(drill, at=AT, helped=True).outcome == "helped"

    def test_is_wrong_with_one_wrong(self, drill: Drill):
        made = operations.answer(drill=drill, answers=right(drill, but=drill.keys[0]), helped=False, at=AT)
        assert made.outcome == "wrong"

    def test_counts_a_blank_as_wrong(self, drill: Drill):
        assert operations.answer(drill=drill, answers={}, helped=False, at=AT).outcome == "wrong"

    def test_asks_again_what_cannot_be_read(self, drill: Drill):
        with pytest.raises(AskAgain):
            operations.answer(drill=drill, answers={1: dict.fromkeys(right(drill)[1], "five-ish")}, helped=False, at=AT)
        drill.refresh_from_db()
        assert drill.answered_at is None

    def test_is_taken_once(self, drill: Drill):
        answer_right(drill, at=AT)
        with pytest.raises(operations.Answered):
            operations.answer(drill=drill, answers={}, helped=False, at=AT)

    def test_writes_no_ledger_and_no_mark(self, drill: Drill):
        before = Entry.objects.count()
        answer_right(drill, at=AT)
        assert Entry.objects.count() == before
        assert not {field.name for field in Drill._meta.get_fields()} & {
            "marks",
            "score",
            "passed",
            "stability",
            "due_on",
        }


class TestWork:
    def test_counts_once_for_each_topic(self, site: Cast):
        for _again in range(2):
            operations.count_work(person=site.ada, topics=["setup", "firing"], at=AT)
        assert WorkDone.objects.count() == 2


class TestMail:
    def test_keeps_the_last_choice(self, site: Cast):
        operations.choose_mail(person=site.ada, wanted=True, at=AT)
        operations.choose_mail(person=site.ada, wanted=False, at=AT + DAY)
        choice = MailChoice.objects.get()
        assert (choice.wanted, choice.chosen_at) == (False, AT + DAY)

    def test_needs_an_address(self, site: Cast):
        site.ada.email = ""
        with pytest.raises(operations.NoAddress, match="Ask your administrator"):
            operations.choose_mail(person=site.ada, wanted=True, at=AT)

    def test_is_written_once_a_day(self, site: Cast):
        first = operations.write_reminder(person=site.ada, topics=["setup"], on=ON, at=AT)
        assert first is not None
        assert operations.write_reminder(person=site.ada, topics=["firing"], on=ON, at=AT) is None
        operations.mark_sent(reminder=first, at=AT + DAY / 99)
        assert Reminder.objects.get().sent_at == AT + DAY / 99


class TestConstraints:
    @pytest.mark.parametrize(
        ("row", "message"),
        [
            (
                lambda ada: Drill(person=ada, topic="setup", on=ON, seed="s", keys=[1], asked=[1], opened_at=AT),
                "one refresher",
            ),
            (
                lambda ada: Drill(
                    person=ada, topic="firing", on=ON, seed="s", keys=[1], asked=[1], opened_at=AT,
                    answered_at=AT - DAY, outcome="right",
                ),
                "before they were opened",
            ),
            (
                lambda ada: Drill(
                    person=ada, topic="firing", on=ON, seed="s", keys=[1], asked=[1], opened_at=AT, answered_at=AT
                ),
                "has its outcome",
            ),
            (lambda ada: WorkDone(person=ada, topic="setup", at=AT), "counted already"),
            (lambda ada: Reminder(person=ada, on=ON, topics=[1], written_at=AT), "mail of that day"),
            (
                lambda ada: Reminder(person=ada, on=ON + DAY, topics=[1], written_at=AT, sent_at=AT - DAY),
                "written before it is sent",
            ),
        ],
    )  # fmt: skip
    def test_refuse_what_cannot_be(self, site: Cast, row, message):
        answered(site.ada, "setup", ON)
        operations.count_work(person=site.ada, topics=["setup"], at=AT)
        operations.write_reminder(person=site.ada, topics=["setup"], on=ON, at=AT)
        made = row(site.ada)
        with pytest.raises(ValidationError, match=message):
            made.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            made.save()
