"""Opening the questions of a revision, and answering them in turns."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.cast import AT, Cast
from tests.training.bridges.answers import right
from training.bank.models import Question
from training.bank.operations import AskAgain
from training.bridges import operations
from training.bridges.models import Bridge
from training.ledger.models import Entry
from training.procedures.models import Revision


@pytest.fixture
def bridge(site: Cast, asking: Revision) -> Bridge:
    return operations.open_bridge(person=site.ada, revision=asking, seed="s1", at=AT)


def keys(bridge: Bridge) -> list[str]:
    return [asked["shown"]["key"] for asked in bridge.asked]


class TestOpen:
    def test_draws_the_questions_named_and_keeps_the_seed(self, bridge: Bridge):
        assert keys(bridge) == ["drop-1", "one-1"]
        assert (bridge.seed, bridge.turn, bridge.answered_at) == ("s1", 1, None)

    def test_draws_the_same_again_from_the_seed(self, site: Cast, asking: Revision, bridge: Bridge):
        other = operations.open_bridge(person=site.ben, revision=asking, seed="s1", at=AT)
        assert other.asked == bridge.asked

    def test_changes_nothing_a_second_time(self, site: Cast, asking: Revision, bridge: Bridge):
        again = operations.open_bridge(person=site.ada, revision=asking, seed="s2", at=AT + timedelta(days=1))
        assert (again.pk, again.seed) == (bridge.pk, "s1")

    def test_leaves_out_a_question_taken_out_of_use(self, site: Cast, asking: Revision):
        Question.objects.filter(key="drop-1").update(retired_at=AT)
        assert keys(operations.open_bridge(person=site.ada, revision=asking, seed="s1", at=AT)) == ["one-1"]


class TestAnswer:
    def answer(self, bridge: Bridge, **said):
        bridge.refresh_from_db()
        facts = {"turn": bridge.turn, "answers": right(bridge), "at": AT} | said
        return operations.answer(bridge=bridge, **facts)

    def test_is_done_when_every_question_is_right(self, bridge: Bridge):
        assert self.answer(bridge) == ()
        bridge.refresh_from_db()
        assert (bridge.answered_at, bridge.asked, bridge.turn) == (AT, [], 2)
        entry = Entry.objects.get(act="procedure questions answered")
        assert entry.about == {"bridge": bridge.pk, "revision": bridge.revision_id}

    def test_tells_what_was_wrong_with_its_working_and_asks_it_again(self, bridge: Bridge):
        (told,) = self.answer(bridge, answers=right(bridge, but="drop-1"))
        assert told.parts[0].read == "0.01\N{NO-BREAK SPACE}V"
        assert told.parts[0].right
        assert "U = I R" in told.parts[0].working[0]
        bridge.refresh_from_db()
        assert (keys(bridge), bridge.turn, bridge.answered_at) == (["drop-1"], 2, None)
        assert self.answer(bridge) == ()
        bridge.refresh_from_db()
        assert bridge.answered_at == AT

    def test_keeps_no_mark_and_writes_nothing_until_all_is_right(self, bridge: Bridge):
        self.answer(bridge, answers={})
        assert not Entry.objects.exists()
        assert not {field.name for field in Bridge._meta.get_fields()} & {"marks", "score", "passed", "given"}

    def test_draws_other_numbers_in_time(self, bridge: Bridge):
        """A choice of four draws cannot stay the same for ever."""
        shown = set()
        for _turn in range(12):
            bridge.refresh_from_db()
            shown.add(bridge.asked[0]["shown"]["prompt"])
            self.answer(bridge, answers={})
        assert len(shown) > 1

    def test_asks_again_what_cannot_be_read(self, bridge: Bridge):
        with pytest.raises(AskAgain) as caught:
            self.answer(bridge, answers=right(bridge) | {1: {"answer": "five-ish volts"}})
        assert [problem.position for problem in caught.value.problems] == [1]
        bridge.refresh_from_db()
        assert bridge.turn == 1

    def test_asks_to_finish_an_order(self, site: Cast, asking: Revision):
        Revision.objects.filter(pk=asking.pk).update(questions=["order-1"])
        asking.refresh_from_db()
        bridge = operations.open_bridge(person=site.ada, revision=asking, seed="s1", at=AT)
        one = bridge.asked[0]["shown"]["parts"][0]
        with pytest.raises(AskAgain, match="Give every line a place"):
            self.answer(bridge, answers={1: {one["name"]: {one["options"][0]["id"]: "1"}}})

    def test_takes_each_turn_once(self, bridge: Bridge):
        self.answer(bridge, answers={}, turn=1)
        with pytest.raises(operations.OutOfTurn):
            self.answer(bridge, turn=1)
        self.answer(bridge)
        with pytest.raises(operations.OutOfTurn):
            self.answer(bridge)


class TestConstraints:
    @pytest.mark.parametrize(
        ("changed", "message"),
        [
            ({}, "already open"),
            ({"person_id": None, "answered_at": AT - timedelta(seconds=1)}, "before they were opened"),
            ({"person_id": None, "turn": 0}, "first turn is number 1"),
        ],
    )
    def test_refuse_what_cannot_be(self, site: Cast, bridge: Bridge, changed, message):
        facts = {"person_id": bridge.person_id, "revision": bridge.revision, "seed": "s", "opened_at": AT} | changed
        row = Bridge(**(facts | {"person_id": facts["person_id"] or site.ben.pk}))
        with pytest.raises(ValidationError, match=message):
            row.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            row.save()
