"""What a live sitting gives away, and what a hostile browser or an unlucky moment can do to it."""

import re
from datetime import timedelta
from html import unescape
from threading import Barrier, Thread

import pytest
import time_machine
from django.db import connection, connections
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.cast import AT, assemble
from tests.training.quizzes.pool import fields, paper, place, questions, right, sides
from tests.training.quizzes.test_views import AGREED, JSON, url
from training.bank import operations as bank
from training.quizzes import operations
from training.quizzes.models import Admission, Answer, Paper, Sitting, SittingItem
from training.quizzes.rules import Page

HOUR = timedelta(hours=1)


@pytest.fixture
def sheet(site, theory) -> Sitting:
    """A sitting ada has just opened."""
    return operations.open_sitting(person=site.ada, paper=theory, seed="s1", at=AT)


def secrets_of(item: SittingItem) -> set[str]:
    """Return what must not leave the server before hand-in: mistakes, working, sources, sayings, the seed."""
    found = {item.shown["seed"]}
    for side in sides(item):
        found |= {*side["working"], side["source"], *side.get("option_says", {}).values()}
        for wrong in side.get("wrong", ()):
            found |= {wrong["misconception"], wrong["says"]}
        found |= {side.get("reason", ""), side.get("computation", "")}
    return {one for one in found if len(one) > 3}


class TestLiveSitting:
    def test_gives_away_no_key_on_any_page_or_reply(self, site, sheet):
        client = site.client("ada")
        answers = fields(sheet, right(sheet))
        wrong = {f"q{place(sheet, 'drop')}-answer": "about 4"}
        places = [reverse("quizzes:question", args=[sheet.pk, position]) for position in range(1, 6)]
        replies = [client.get(where) for where in (url(sheet), url(sheet, "review"), "/papers/", *places)]
        replies += [client.post(url(sheet, "keep"), sent, headers=JSON) for sent in ({}, wrong, answers)]
        replies += [client.post(url(sheet, "keep"), wrong), client.post(url(sheet), wrong)]
        said = unescape("\n".join(reply.content.decode() for reply in replies))
        for item in sheet.items.all():
            assert not [one for one in secrets_of(item) if one in said]
        assert "misconception" not in said
        assert "sealed" not in said

    def test_gives_away_no_other_question_on_the_page_of_one(self, site, sheet):
        others = {item.position: item.shown["prompt"] for item in sheet.items.all()}
        said = unescape(site.client("ada").get(reverse("quizzes:question", args=[sheet.pk, 3])).content.decode())
        assert others.pop(3) in said
        assert not [prompt for prompt in others.values() if prompt in said]

    def test_tells_a_right_answer_from_a_wrong_one_in_no_reply(self, site, sheet):
        """The same words come back, whatever was kept."""
        client, name = site.client("ada"), f"q{place(sheet, 'drop')}-answer"
        good = sides(sheet.items.get(position=place(sheet, "drop")))[0]["shown"]
        first = client.post(url(sheet, "keep"), {name: good}, headers=JSON).json()
        Answer.objects.all().delete()
        second = client.post(url(sheet, "keep"), {name: "999"}, headers=JSON).json()
        assert first == second


class TestHostileBrowser:
    def test_replays_a_hand_in_without_effect(self, site, sheet):
        client = site.client("ada")
        client.post(url(sheet), fields(sheet, right(sheet)))
        for _again in range(3):
            assert client.post(url(sheet, "review"), {}).url == url(sheet)
        sheet.refresh_from_db()
        assert (sheet.passed, sheet.handed_in_at) == (True, AT)
        assert client.post(url(sheet, "keep"), fields(sheet, right(sheet)), headers=JSON).status_code == 409

    def test_answers_no_question_of_another_paper(self, site, theory, sheet):
        other = operations.open_sitting(person=site.ben, paper=theory, seed="s2", at=AT)
        client = site.client("ada")
        for name in ("sitting", "keep", "review", "pause"):
            assert client.post(url(other, name), fields(other, right(other)), headers=JSON).status_code == 404
        client.post(url(sheet, "keep"), {"q6-answer": "1", "q1-other": "x", "turn-6": "1", "flag-6": "on"})
        assert not Answer.objects.exists()

    def test_moves_no_clock_but_the_servers(self, site, sheet):
        """Whatever the browser says about the time is not looked at; a clock far ahead stamps the end of the time."""
        client = site.client("ada")
        sent = fields(sheet, right(sheet)) | {"at": "2020-01-01", "due_at": "2030-01-01", "handed_in_at": "2020-01-01"}
        with time_machine.travel(AT + timedelta(days=400), tick=False):
            client.force_login(site.ada)
            client.post(url(sheet), sent)
        sheet.refresh_from_db()
        assert (sheet.handed_in_at, sheet.due_at, sheet.passed) == (AT + HOUR, AT + HOUR, False)

    def test_survives_a_server_clock_set_back(self, site, sheet):
        client = site.client("ada")
        with time_machine.travel(AT - timedelta(days=1), tick=False):
            client.force_login(site.ada)
            client.post(url(sheet), fields(sheet, right(sheet)))
            client.post(url(sheet, "review"), {})
        sheet.refresh_from_db()
        assert (sheet.handed_in_at, sheet.passed) == (AT, True)

    def test_opens_no_invigilated_paper_without_the_invigilator(self, site, theory):
        operations.load_papers([paper(version=2, invigilated=True)], at=AT)
        for sent in (AGREED, AGREED | {"invigilator": site.tess.pk, "admitted_at": AT.isoformat()}):
            assert site.client("ada").post("/papers/bonding-theory/start/", sent).status_code == 200
        assert not Sitting.objects.exists()
        assert Admission.objects.get().invigilator is None


def at_once(count: int, act) -> None:
    """Do an act from so many threads at the same moment."""
    barrier = Barrier(count)

    def run(number: int) -> None:
        try:
            barrier.wait()
            act(number)
        finally:
            connections.close_all()

    threads = [Thread(target=run, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


@pytest.fixture
def ada(transactional_db):
    """A crew member, with a paper to sit."""
    person = assemble().ada
    bank.load_questions(questions(), at=AT)
    operations.load_papers([paper()], at=AT)
    return person


@pytest.mark.both
def test_twelve_starts_at_once_of_an_admitted_candidate_open_one_sitting(ada):
    """The consent is recorded once and used once, however often the button is pressed."""
    opened = []
    at_once(
        12,
        lambda number: opened.append(
            operations.open_sitting(person=ada, paper=Paper.objects.get(), seed=str(number), at=AT).pk
        ),
    )
    assert opened == [Sitting.objects.get().pk] * 12
    assert Admission.objects.get().sitting_id == opened[0]


@pytest.mark.both
def test_eight_tabs_that_keep_at_once_leave_one_answer_and_tell_the_others(ada):
    """Each tab knows the first turn: one is first, and seven are told of a newer answer."""
    sitting = operations.open_sitting(person=ada, paper=Paper.objects.get(), seed="s1", at=AT)
    drop, stale = place(sitting, "drop"), []

    def keep(number: int) -> None:
        tab = Page(id=f"{number:032x}", turns={}, flags={})
        kept = operations.keep(sitting=sitting, answers={drop: {"answer": str(number)}}, page=tab, at=AT)
        stale.append(kept.stale)

    at_once(8, keep)
    assert sorted(map(len, stale)) == [0] + [1] * 7
    answer = Answer.objects.get()
    assert answer.turn == 1
    assert answer.page == f"{int(answer.given['answer']):032x}"


@pytest.mark.both
def test_a_break_ended_from_eight_devices_at_once_moves_the_end_once(ada):
    """The clock is moved by the break, not by the number of taps."""
    sitting = operations.open_sitting(person=ada, paper=Paper.objects.get(), seed="s1", at=AT)
    Sitting.objects.update(break_left=timedelta(minutes=20))
    operations.begin_break(sitting=sitting, at=AT)
    at_once(8, lambda number: operations.end_break(sitting=sitting, at=AT + timedelta(minutes=5)))
    sitting.refresh_from_db()
    assert (sitting.due_at, sitting.break_left) == (AT + timedelta(minutes=65), timedelta(minutes=15))


def test_the_sheet_is_read_without_the_sealed_side(site, sheet):
    """The key is not fetched for a page that may not show it."""
    with CaptureQueriesContext(connection) as asked:
        site.client("ada").get(url(sheet))
    assert not [query for query in asked.captured_queries if re.search(r'"sealed"', query["sql"])]
