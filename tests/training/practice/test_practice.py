"""Practice: other questions than the day's papers, the working after each answer, and no mark."""

from dataclasses import replace
from threading import Barrier, Thread

import pytest
import time_machine
from django.db import IntegrityError, connections, transaction
from django.urls import reverse

from tests.cast import AT, ON, Cast, assemble
from tests.training.procedures.content import module
from tests.training.quizzes.pool import answer, paper, question, questions, right
from tests.training.reply import page
from training.bank import operations as bank
from training.bank.models import Correction, QuestionVersion
from training.ledger.models import Entry
from training.practice import operations, queries, rules
from training.practice.models import Practice
from training.procedures import operations as procedures
from training.questions.correcting import Change, What
from training.quizzes import operations as quizzes
from training.quizzes.models import Paper, PartMark, Seen
from training.refreshers import operations as refreshers


@pytest.fixture
def site(cast: Cast):
    """The cast with papers and questions; what may be practised are the sums of `setup`."""
    bank.load_questions(questions(), at=AT)
    quizzes.load_papers([paper()], at=AT)
    procedures.load([module()], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


def ask(site, *, topic="setup", seed="s1", person=None, at=AT, on=ON):
    return operations.ask(person=person or site.ada, topic=topic, seed=seed, at=at, on=on)


def right_of(practice) -> dict[str, object]:
    sides = zip(practice.shown["parts"], practice.sealed["parts"], strict=True)
    return {shown["name"]: answer(shown | sealed) for shown, sealed in sides}


def chose(practice, text: str) -> dict[str, object]:
    options = practice.shown["parts"][0]["options"]
    return {"answer": next(option["id"] for option in options if option["text"] == text)}


class TestNextKey:
    def test_is_one_of_those_shown_least(self):
        assert {rules.next_key("abc", {"a": 2, "b": 1}, barred=(), seed=str(seed)) for seed in range(9)} == {"c"}

    def test_leaves_out_what_is_barred(self):
        assert rules.next_key("abc", {}, barred="ac", seed="s") == "b"
        assert rules.next_key("abc", {}, barred="abc", seed="s") is None


class TestAsk:
    def test_draws_from_practice_questions_alone(self, site):
        assert {one.topic for one in queries.pool().values()} == {"setup"}
        asked = ask(site)
        assert asked.shown["key"] in {"drop-1", "drop-2", "chain-1", "chain-2"}
        with pytest.raises(operations.NotNow, match="can be asked today"):
            ask(site, topic="firing")

    def test_goes_on_with_the_question_that_is_open(self, site):
        assert ask(site) == ask(site, seed="s2")
        assert Practice.objects.count() == 1

    def test_asks_every_question_before_one_comes_again(self, site):
        asked = []
        for seed in range(4):
            one = ask(site, seed=str(seed))
            operations.answer(practice=one, answers={}, at=AT)
            asked.append(one.shown["key"])
        assert len(set(asked)) == 4

    def test_shares_nothing_with_the_days_paper_either_way(self, site):
        sitting = quizzes.open_sitting(person=site.ada, paper=Paper.objects.get(), seed="s1", at=AT)
        quizzes.hand_in(sitting=sitting, answers=right(sitting), at=AT)
        on_paper = {item.shown["key"] for item in sitting.items.all()}
        practised = set()
        for seed in range(2):
            one = ask(site, seed=str(seed))
            operations.answer(practice=one, answers={}, at=AT)
            practised.add(one.shown["key"])
        assert not practised & on_paper
        with pytest.raises(operations.NotNow):
            ask(site, person=site.ada, topic="safety")
        assert set(Seen.objects.values_list("question__key", flat=True)) == practised

        ben = ask(site, person=site.ben)
        theirs = quizzes.open_sitting(person=site.ben, paper=Paper.objects.get(), seed="s1", at=AT)
        assert ben.shown["key"] not in {item.shown["key"] for item in theirs.items.all()}

    def test_waits_for_an_open_paper_to_be_handed_in(self, site):
        one = ask(site)
        quizzes.open_sitting(person=site.ada, paper=Paper.objects.get(), seed="s1", at=AT)
        for act in (lambda: ask(site), lambda: operations.answer(practice=one, answers={}, at=AT)):
            with pytest.raises(operations.NotNow, match="examination paper open"):
                act()

    def test_ends_after_so_many_a_day(self, site):
        for seed in range(rules.MOST_A_DAY):
            operations.answer(practice=ask(site, seed=str(seed)), answers={}, at=AT)
        with pytest.raises(operations.NotNow, match="enough of this subject"):
            ask(site)

    def test_asks_nothing_that_was_taken_out(self, site):
        specs = [replace(one, version=2, pool="papers") for one in questions()]
        bank.load_questions(specs, at=AT)
        assert queries.pool() == {}


class TestAnswer:
    def test_is_kept_once_and_never_marked(self, site):
        one = ask(site)
        operations.answer(practice=one, answers=right_of(one), at=AT)
        again = operations.answer(practice=one, answers={}, at=AT)
        assert again.given == right_of(one)
        assert not PartMark.objects.exists()
        assert not Entry.objects.exists()

    def test_survives_a_server_clock_set_back(self, site):
        one = ask(site)
        assert operations.answer(practice=one, answers={}, at=AT.replace(year=2025)).answered_at == AT

    def test_that_cannot_be_read_is_asked_again(self, site):
        one = ask(site)
        with pytest.raises(bank.AskAgain, match="Write the number first"):
            operations.answer(practice=one, answers={one.shown["parts"][0]["name"]: "four"}, at=AT)
        one.refresh_from_db()
        assert one.answered_at is None


class TestPages:
    def url(self, practice):
        return reverse("practice:question", args=[practice.pk])

    def test_list_the_subjects(self, site, django_assert_num_queries):
        body = page(site.client("ada").get("/practice/"))
        assert "Practise Setting up" in body
        assert "4 questions to practise, you have tried 0" in body
        quizzes.open_sitting(person=site.ada, paper=Paper.objects.get(), seed="s1", at=AT)
        body = page(site.client("ada").get("/practice/"))
        assert "Hand it in first." in body
        assert "Practise Setting up" not in body

    def test_ask_without_the_key_and_tell_the_working_after(self, site):
        client = site.client("ada")
        where = client.post("/practice/setup/").url
        one = Practice.objects.get()
        body = page(client.get(where))
        assert one.shown["prompt"] in body
        for side in one.sealed["parts"]:
            assert not [line for line in side["working"] if line in body]
        names = {f"q1-{name}": value for name, value in right_of(one).items()}
        assert client.post(where, names).url == where
        body = page(client.get(where))
        assert "Right." in body
        for side in one.sealed["parts"]:
            assert all(line in body for line in side["working"])

    def test_say_what_was_not_right(self, site):
        client = site.client("ada")
        where = client.post("/practice/setup/").url
        name = Practice.objects.get().shown["parts"][0]["name"]
        client.post(where, {f"q1-{name}": "0.5 V"})
        assert "Not right. See how it is worked out." in page(client.get(where))
        assert "Not right. See how it is worked out." in page(client.post(where, {}))

    def test_do_not_call_wrong_what_was_left_empty(self, site):
        client = site.client("ada")
        where = client.post("/practice/setup/").url
        client.post(where, {})
        body = page(client.get(where))
        assert "Left empty. This is how it is worked out." in body
        assert "Not right" not in body

    def test_come_back_with_what_cannot_be_read(self, site):
        client = site.client("ada")
        where = client.post("/practice/setup/").url
        name = Practice.objects.get().shown["parts"][0]["name"]
        body = page(client.post(where, {f"q1-{name}": "four"}))
        assert "Write the number first" in body
        assert 'value="four"' in body

    def test_are_ones_own(self, site):
        one = ask(site)
        for name in ("ben", "tess", "max", "sol"):
            assert site.client(name).get(self.url(one)).status_code == 404

    def test_say_when_nothing_is_asked(self, site):
        one = ask(site)
        quizzes.open_sitting(person=site.ada, paper=Paper.objects.get(), seed="s1", at=AT)
        client = site.client("ada")
        assert "Hand it in first." in page(client.post("/practice/setup/", follow=True))
        assert "Hand it in first." in page(client.post(self.url(one), {}, follow=True))
        assert client.post("/practice/nothing/").status_code == 404

    def test_show_the_key_as_it_was_put_right(self, site):
        """A question whose key was found wrong is told by the right one, before the answer or after it."""
        bank.load_questions([question("one", version=2, pool="both")], at=AT)
        version = QuestionVersion.objects.get(question__key="one-1", version=2)
        change = Change(what=What.RIGHT, part="answer", lines=("The foreman",))
        operations.answer(practice=(first := ask(site, topic="safety")), answers=chose(first, "The foreman"), at=AT)
        assert not queries.page(Practice.objects.get()).right
        Correction.objects.create(
            question_version=version, change=change.as_json(), reason="He signs.", proposed_by=site.tess,
            proposed_at=AT, decided_by=site.olga, decided_at=AT, applied=True,
        )  # fmt: skip
        assert queries.page(Practice.objects.get()).right
        again = ask(site, topic="safety", seed="s2")
        assert queries.page(operations.answer(practice=again, answers=chose(again, "The foreman"), at=AT)).right


class TestRefreshers:
    def test_keep_to_the_same_rule(self, site):
        """What a drill asks is left out of the day's paper, and the other way round."""
        facts = {"topic": "setup", "language": "en", "seed": "s", "on": ON, "at": AT}
        drill = refreshers.open_drill(person=site.ada, **facts)
        assert set(drill.keys) == set(Seen.objects.values_list("question__key", flat=True))
        sitting = quizzes.open_sitting(person=site.ben, paper=Paper.objects.get(), seed="s1", at=AT)
        on_paper = {item.shown["key"] for item in sitting.items.all()}
        assert not on_paper & set(refreshers.open_drill(person=site.ben, **facts).keys)


class TestTables:
    def test_hold_one_open_question_of_a_subject(self, site):
        ask(site)
        copy = Practice.objects.get()
        copy.pk = None
        with pytest.raises(IntegrityError), transaction.atomic():
            copy.save(force_insert=True)

    def test_hold_no_answer_before_its_question(self, site):
        ask(site)
        with pytest.raises(IntegrityError), transaction.atomic():
            Practice.objects.update(answered_at=AT.replace(year=2020))
        assert QuestionVersion.objects.exists()


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
def test_eight_taps_at_once_ask_one_question():
    """However often the button is pressed at once, one question is drawn."""
    ada = assemble().ada
    bank.load_questions(questions(), at=AT)
    barrier, asked = Barrier(8), []

    def tap(number: int) -> None:
        try:
            barrier.wait()
            asked.append(operations.ask(person=ada, topic="setup", seed=str(number), at=AT, on=ON).pk)
        finally:
            connections.close_all()

    threads = [Thread(target=tap, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert asked == [Practice.objects.get().pk] * 8
