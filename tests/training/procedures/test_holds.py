"""Questions at hold points: answered in place, never marked, and what a reading waits for."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.urls import reverse

from tests.cast import AT, Cast
from tests.training.procedures.content import module, step
from tests.training.quizzes.pool import answer, questions
from tests.training.reply import page
from training.bank.models import Question, QuestionVersion
from training.bank.operations import load_questions
from training.bank.queries import drawn
from training.ledger.models import Entry
from training.procedures import operations, queries, rules
from training.procedures.models import HoldAnswer, Reading, Revision
from training.procedures.rules import Ask, Given, Hold

URL = "/procedures/setup/"
DAY = timedelta(days=1)
ASKING = module(steps=(step("pin", "Load the pin", ask=("one-1",)), step(ask=("drop-1", "order-1"))))


@pytest.fixture
def site(cast: Cast) -> Iterator[Cast]:
    load_questions(questions(), at=AT)
    operations.load([ASKING], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


def newest_revision() -> Revision:
    return Revision.objects.select_related("module").latest("number")


def open_holds(person) -> list[Hold]:
    holds, _versions = queries.standing(newest_revision(), person=person)
    return [hold for hold in holds if hold.is_open]


def asked(person, hold: Hold):
    version = QuestionVersion.objects.get(question__key=hold.ask.key)
    return version, drawn(version, seed=rules.seed(person.pk, hold.ask, turn=hold.turn))


def rightly(item) -> dict[str, Any]:
    sides = zip(item.shown()["parts"], item.key()["parts"], strict=True)
    return {shown["name"]: answer(shown | key) for shown, key in sides}


def give(person, hold: Hold, answers: Mapping[str, Any] | None = None, *, at=AT) -> HoldAnswer:
    version, item = asked(person, hold)
    given = rightly(item) if answers is None else answers
    return operations.answer_hold(
        person=person,
        revision=newest_revision(),
        step=hold.ask.step,
        version=version.pk,
        turn=hold.turn,
        answers={1: given},
        at=at,
    )


def answer_all(person) -> None:
    for hold in open_holds(person):
        give(person, hold)


class TestRules:
    AT = datetime(2026, 11, 25, tzinfo=UTC)

    def ask(self, place: int = 0) -> Ask:
        return list(rules.asks(ASKING.as_json()))[place]

    def given(self, turn: int, *, is_right: bool, **changed: str) -> Given:
        ask = self.ask()
        return Given(
            **({"step": ask.step, "key": ask.key, "words": ask.words} | changed),
            turn=turn,
            is_right=is_right,
            at=self.AT,
        )

    def holds(self, *given: Given, in_use=("one-1", "drop-1", "order-1")) -> tuple[Hold, ...]:
        return rules.holds(ASKING.as_json(), given, in_use=in_use)

    def test_asks_in_reading_order(self):
        assert [(one.step, one.key) for one in rules.asks(ASKING.as_json())] == [
            ("pin", "one-1"), ("earth", "drop-1"), ("earth", "order-1"),
        ]  # fmt: skip

    def test_goes_on_at_the_first_open_question(self):
        assert rules.next_open(self.holds()).ask.key == "one-1"
        assert rules.next_open(self.holds(self.given(1, is_right=True))).ask.key == "drop-1"
        assert rules.next_open(()) is None

    def test_counts_tries_and_stops_at_the_right_one(self):
        missed = self.holds(self.given(2, is_right=False), self.given(1, is_right=False))[0]
        assert (missed.turn, missed.is_open) == (3, True)
        done = self.holds(self.given(1, is_right=False), self.given(2, is_right=True))[0]
        assert (done.turn, done.is_open) == (2, False)

    def test_asks_again_where_the_step_reads_differently(self):
        assert self.holds(self.given(1, is_right=True, words="other"))[0].turn == 1

    def test_leaves_out_what_is_no_longer_in_use(self):
        assert [hold.ask.key for hold in self.holds(in_use=["drop-1"])] == ["drop-1"]

    def test_shows_a_change_of_questions_in_the_difference(self):
        def change(older, newer):
            body = [module(steps=(step(ask=asked),)).as_json() for asked in (older, newer)]
            return [one.asks for one in rules.difference(*body).steps]

        assert change((), ("one-1",)) == [rules.Mark.ADDED]
        assert change(("one-1",), ("drop-1",)) == [rules.Mark.SAME]
        assert change(("one-1",), ()) == [rules.Mark.REMOVED]


class TestSameText:
    def test_looks_past_the_drawings_alone(self):
        body = module().as_json()
        assert rules.same_text(body, body | {"drawings": [{"name": "pin"}]})
        assert not rules.same_text(body, body | {"purpose": "Another."})


class TestAnswer:
    def test_keeps_the_question_the_answer_the_moment_and_the_revision(self, site):
        kept = give(site.ada, open_holds(site.ada)[0])
        assert (kept.step, kept.turn, kept.is_right, kept.answered_at) == ("pin", 1, True, AT)
        assert kept.revision == newest_revision()
        assert kept.told["prompt"] == "Who says that the line is dead?"

    def test_draws_other_numbers_after_a_miss(self, site):
        drop = open_holds(site.ada)[1]
        assert not give(site.ada, drop, {"answer": "0.01 V"}).is_right
        again = next(hold for hold in open_holds(site.ada) if hold.ask == drop.ask)
        assert again.turn == 2
        assert asked(site.ada, drop)[1].seed != asked(site.ada, again)[1].seed
        assert give(site.ada, again).is_right

    def test_keeps_nothing_that_cannot_be_read(self, site):
        with pytest.raises(operations.AskAgain):
            give(site.ada, open_holds(site.ada)[1], {"answer": "about five"})
        assert not HoldAnswer.objects.exists()

    def test_takes_no_press_on_the_button_alone_for_a_try(self, site):
        """It would be told the right answer, and only have to give it back."""
        hold = open_holds(site.ada)[0]
        with pytest.raises(operations.AskAgain, match="Give an answer first"):
            give(site.ada, hold, {})
        assert open_holds(site.ada)[0].turn == 1
        data = {name: value for name, value in sent(site.ada, hold).items() if not name.startswith("q")}
        body = page(site.client("ada").post(url(hold), data))
        assert "Give an answer first." in body
        assert "This is how it is" not in body

    def test_takes_each_try_once(self, site):
        hold = open_holds(site.ada)[0]
        give(site.ada, hold)
        with pytest.raises(operations.OutOfTurn):
            give(site.ada, hold)

    def test_refuses_a_question_that_is_not_asked_there(self, site):
        hold = open_holds(site.ada)[0]
        with pytest.raises(operations.OutOfTurn):
            give(site.ada, replace(hold, ask=replace(hold.ask, step="earth")))

    def test_refuses_an_old_revision_and_a_module_out_of_use(self, site):
        hold, revision = open_holds(site.ada)[0], newest_revision()
        facts = {"person": site.ada, "step": "pin", "version": asked(site.ada, hold)[0].pk, "turn": 1, "at": AT}
        operations.load([replace(ASKING, changed="More.", purpose="To set up.")], at=AT)
        with pytest.raises(operations.Superseded):
            operations.answer_hold(revision=revision, answers={1: {}}, **facts)
        operations.load([], at=AT)
        with pytest.raises(operations.Withdrawn):
            operations.answer_hold(revision=newest_revision(), answers={1: {}}, **facts)

    def test_counts_in_a_later_revision_for_the_steps_that_read_the_same(self, site):
        answer_all(site.ada)
        changed = replace(
            ASKING, changed="Twice.", steps=(ASKING.steps[0], replace(ASKING.steps[1], text="Set it twice."))
        )
        operations.load([changed], at=AT + DAY)
        assert [hold.ask.key for hold in open_holds(site.ada)] == ["drop-1", "order-1"]


class TestReading:
    def test_waits_for_every_question(self, site):
        with pytest.raises(operations.HoldsOpen) as caught:
            operations.record_reading(person=site.ada, revision=newest_revision(), at=AT)
        assert caught.value.step == "pin"
        answer_all(site.ada)
        assert operations.record_reading(person=site.ada, revision=newest_revision(), at=AT).read_at == AT
        assert [entry.act for entry in Entry.objects.all()] == ["procedure read"]

    def test_is_not_held_up_by_a_question_taken_out_of_use(self, site):
        Question.objects.update(retired_at=AT)
        assert operations.record_reading(person=site.ada, revision=newest_revision(), at=AT)


def sent(person, hold: Hold, **changed: object) -> dict[str, object]:
    """Return what the browser sends for a question: its place is its place among all."""
    version, item = asked(person, hold)
    position = [one.key for one in rules.asks(ASKING.as_json())].index(hold.ask.key) + 1
    fields: dict[str, object] = {"revision": 1, "version": version.pk, "turn": hold.turn}
    for name, value in rightly(item).items():
        if hold.ask.key.startswith("order"):
            fields |= {f"q{position}-{name}-{one}": place for place, one in enumerate(value, start=1)}
        else:
            fields[f"q{position}-{name}"] = value
    return fields | changed


def url(hold: Hold) -> str:
    return reverse("procedures:hold", args=["setup", hold.ask.step])


class TestPage:
    def test_asks_in_place_and_says_how_far_the_reader_is(self, site):
        body = page(site.client("ada").get(URL))
        for words in (
            "0 of 3 questions at the hold points answered",
            "Go to the first one",
            "Who says that the line is dead?",
        ):
            assert words in body
        assert "I have read this" not in body

    def test_goes_on_where_the_reader_left_off(self, site):
        client = site.client("ada")
        hold = open_holds(site.ada)[0]
        assert client.post(url(hold), sent(site.ada, hold))["Location"] == URL + "#ask-pin"
        body = page(client.get(URL))
        assert 'id="ask-pin"' in body
        for words in ("1 of 3 questions", "Go on where you left off", 'href="#earth"', "Answered right 25 Nov 2026"):
            assert words in body
        assert "1 of 3 questions at the hold points answered" in page(client.get("/procedures/"))

    def test_tells_a_wrong_answer_with_its_working_and_asks_again(self, site):
        client, hold = site.client("ada"), open_holds(site.ada)[1]
        client.post(url(hold), sent(site.ada, hold, **{"q2-answer": "0.01 V"}))
        body = page(client.get(URL))
        for words in ("Not right. This is how it is:", "Working", "Asked again:"):
            assert words in body

    def test_asks_again_beside_the_field_with_nothing_typed_lost(self, site):
        client, hold = site.client("ada"), open_holds(site.ada)[1]
        body = page(client.post(url(hold), sent(site.ada, hold, **{"q2-answer": "about five"})))
        for words in ('value="about five"', "Put this right, then send again", "Question 2"):
            assert words in body

    @pytest.mark.parametrize(
        "changed", [{"turn": 9}, {"version": 999999}, {"revision": 1, "turn": 0}, {"version": "x"}, {"turn": 10**9}]
    )
    def test_says_where_the_reader_is_when_the_page_was_old(self, site, changed):
        hold = open_holds(site.ada)[0]
        reply = site.client("ada").post(url(hold), sent(site.ada, hold, **changed), follow=True)
        assert "question" in page(reply)
        assert not HoldAnswer.objects.exists()

    def test_refuses_the_reading_until_then(self, site):
        client = site.client("ada")
        reply = client.post(URL + "read/", {"revision": 1})
        assert reply["Location"] == URL + "#pin"
        assert not Reading.objects.exists()
        answer_all(site.ada)
        assert "I have read this" in page(client.get(URL))
        client.post(URL + "read/", {"revision": 1})
        assert Reading.objects.count() == 1

    def test_sends_neither_key_nor_mistake(self, site):
        body = page(site.client("ada").get(URL))
        for words in ("Authority is taken for isolation", "A quiet line is taken for a dead one", "covers rounding"):
            assert words not in body

    def test_takes_a_fixed_number_of_queries(self, site, django_assert_max_num_queries):
        answer_all(site.ada)
        with django_assert_max_num_queries(5):
            queries.page(newest_revision(), person=site.ada)
