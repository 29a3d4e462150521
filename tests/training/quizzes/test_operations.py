"""Loading questions and papers; opening, keeping and handing in."""

from datetime import date, timedelta
from fractions import Fraction
from threading import Barrier, Thread

import pytest
from django.db import connections

from tests.cast import AT, assemble
from tests.training.quizzes.pool import paper, place, question, questions, right, sides
from training.bank import operations as bank
from training.bank.models import QuestionVersion
from training.content.tally import Tally
from training.ledger import queries as ledger
from training.ledger.models import Entry
from training.questions.item import Item
from training.quizzes import operations, queries
from training.quizzes.models import Answer, Paper, PaperIssue, PartMark, Sitting, SittingItem
from training.quizzes.operations import handing_in

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)


def open_for(person, theory, *, at=AT, seed="s1"):
    return operations.open_sitting(person=person, paper=theory, seed=seed, at=at)


def hand_in(sitting, answers, *, at=AT):
    return operations.hand_in(sitting=sitting, answers=answers, at=at)


@pytest.mark.django_db
class TestLoad:
    def test_keeps_papers_as_questions_are_kept(self):
        assert operations.load_papers([paper(), paper("leads")], at=AT) == Tally(new=2)
        assert operations.load_papers([paper(), paper("leads")], at=AT) == Tally(unchanged=2)
        assert operations.load_papers([paper(version=2, minutes=30)], at=AT) == Tally(revised=1, retired=1)
        with pytest.raises(bank.ChangedContent, match="bonding-theory"):
            operations.load_papers([paper(version=2, minutes=31)], at=AT)
        assert PaperIssue.objects.filter(paper__slug="bonding-theory").count() == 2
        assert queries.issue_of(Paper.objects.get(slug="bonding-theory")).body["minutes"] == 30


class TestOpen:
    def test_draws_the_paper_by_its_blueprint_and_stores_what_was_shown(self, site, theory):
        sitting = open_for(site.ada, theory)
        assert (sitting.opened_at, sitting.due_at, sitting.out_of) == (AT, AT + HOUR, 5)
        items = list(sitting.items.order_by("position"))
        assert [item.shown["topic"] for item in items] == ["safety", "setup", "setup", "firing", "firing"]
        for item in items:
            drawn = Item.from_json(item.shown, item.sealed)
            assert (drawn.digest, drawn.seed) == (item.digest, f"s1:{item.position}")

    def test_goes_on_with_the_paper_that_is_open(self, site, theory):
        assert open_for(site.ada, theory) == open_for(site.ada, theory, at=AT + HOUR, seed="s2")
        assert open_for(site.ben, theory) != open_for(site.ada, theory)

    def test_asks_none_of_the_last_sitting_again(self, site, theory):
        first = open_for(site.ada, theory)
        hand_in(first, {})
        second = open_for(site.ada, theory, at=AT + DAY)
        keys = [set(one.items.values_list("question_version__question__key", flat=True)) for one in (first, second)]
        assert len(keys[0] | keys[1]) == 10

    def test_prefers_questions_that_were_little_used(self, site, theory):
        used = QuestionVersion.objects.get(question__key="one-1")
        filler = open_for(site.quin, theory)
        SittingItem.objects.bulk_create(
            SittingItem(sitting=filler, position=100 + n, question_version=used, shown={}, sealed={}, digest="")
            for n in range(20)
        )
        people = [site.ada, site.ben, site.sol, site.tess, site.olga]
        drawn = [open_for(person, theory, seed=person.username).items.get(position=1).shown["key"] for person in people]
        assert drawn == ["one-2"] * 5

    def test_draws_no_practice_question(self, site, theory):
        """Who has answered it at a hold point knows it already."""
        practice = [question("one", number, pool="practice") for number in range(3, 30)]
        bank.load_questions([*questions(), *practice], at=AT)
        people = [site.ada, site.ben, site.sol, site.tess, site.olga]
        drawn = {open_for(person, theory, seed=person.username).items.get(position=1).shown["key"] for person in people}
        assert drawn <= {"one-1", "one-2"}

    def test_draws_the_latest_version_and_nothing_retired(self, site, theory):
        bank.load_questions(
            [question(kind, version=2, minutes=4) for kind in ("one", "drop", "chain", "several", "order")], at=AT
        )
        items = open_for(site.ada, theory).items.all()
        assert {(item.shown["key"][-1], item.shown["version"]) for item in items} == {("1", 2)}

    def test_says_when_there_are_not_questions_enough(self, site, theory):
        bank.load_questions([question("one")], at=AT)
        with pytest.raises(operations.PoolTooSmall, match="setup apply wants 1 more"):
            open_for(site.ada, theory)
        assert not Sitting.objects.exists()

    def test_waits_a_day_a_week_and_a_month_of_local_days(self, site, theory):
        bank.load_questions(questions(4), at=AT)
        at = AT
        for days in (1, 7, 30, 30):
            hand_in(open_for(site.ada, theory, at=at), {}, at=at)
            with pytest.raises(operations.MustWait) as caught:
                open_for(site.ada, theory, at=at + timedelta(days=days) - timedelta(hours=9, seconds=1))
            assert caught.value.until == (at + timedelta(days=days)).date()
            at += timedelta(days=days)

    def test_counts_the_wait_in_the_days_of_the_place_of_work(self, site, theory):
        site.northmoor.zone = "Pacific/Auckland"  # 25 Nov 2026 09:00 UTC is 22:00 there
        site.northmoor.save()
        site.ada.refresh_from_db()
        hand_in(open_for(site.ada, theory), {})
        assert queries.row(site.ada, queries.issue_of(theory), at=AT).free_on == date(2026, 11, 26)
        assert open_for(site.ada, theory, at=AT + timedelta(hours=2))

    def test_lets_a_passed_paper_be_sat_again_for_a_renewal(self, site, theory):
        first = open_for(site.ada, theory)
        hand_in(first, right(first))
        assert open_for(site.ada, theory).pk != first.pk

    def test_hands_in_a_paper_whose_time_is_over_before_opening_the_next(self, site, theory):
        first = open_for(site.ada, theory)
        with pytest.raises(operations.MustWait):
            open_for(site.ada, theory, at=AT + HOUR + timedelta(seconds=31))
        first.refresh_from_db()
        assert (first.handed_in_at, first.passed) == (AT + HOUR, False)


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
def test_twelve_taps_at_once_open_one_sitting():
    """However often the button is pressed at once, one paper is open and every tap is shown that one."""
    ada = assemble().ada
    bank.load_questions(questions(), at=AT)
    operations.load_papers([paper()], at=AT)
    theory, barrier, opened = Paper.objects.get(), Barrier(12), []

    def tap(number: int) -> None:
        try:
            barrier.wait()
            opened.append(open_for(ada, theory, seed=str(number)).pk)
        finally:
            connections.close_all()

    threads = [Thread(target=tap, args=(number,)) for number in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert opened == [Sitting.objects.get().pk] * 12
    assert SittingItem.objects.count() == 5


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
def test_a_paper_handed_in_from_eight_windows_at_once_is_marked_once():
    """One set of marks and one entry in the ledger, whichever window comes first."""
    ada = assemble().ada
    bank.load_questions(questions(), at=AT)
    operations.load_papers([paper()], at=AT)
    sitting = open_for(ada, Paper.objects.get())
    answers, barrier, passed = right(sitting), Barrier(8), []

    def press() -> None:
        try:
            barrier.wait()
            passed.append(hand_in(sitting, answers).passed)
        finally:
            connections.close_all()

    threads = [Thread(target=press) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert passed == [True] * 8
    assert PartMark.objects.count() == 6
    assert Entry.objects.filter(act="paper handed in").count() == 1


class TestKeep:
    def test_keeps_what_was_given_and_replaces_it_by_what_comes_later(self, site, theory):
        sitting = open_for(site.ada, theory)
        at = place(sitting, "drop")
        assert operations.keep(sitting=sitting, answers={at: {"answer": "3,5 V"}}, at=AT).problems == ()
        operations.keep(sitting=sitting, answers={at: {"answer": "3.6 V"}}, at=AT + HOUR / 2)
        kept = Answer.objects.get(item__position=at)
        assert (kept.given, kept.kept_at) == ({"answer": "3.6 V"}, AT + HOUR / 2)

    def test_writes_only_what_changed(self, site, theory, django_assert_num_queries):
        sitting = open_for(site.ada, theory)
        answers = right(sitting)
        operations.keep(sitting=sitting, answers=answers, at=AT)
        with django_assert_num_queries(4):  # savepoint, sitting, questions, release
            operations.keep(sitting=sitting, answers=answers, at=AT + HOUR / 2)
        assert set(Answer.objects.values_list("kept_at", flat=True)) == {AT}

    def test_keeps_what_cannot_be_read_and_says_what_to_do(self, site, theory):
        sitting = open_for(site.ada, theory)
        drop, order = place(sitting, "drop"), place(sitting, "order")
        given = {drop: {"answer": "about four"}, order: {"answer": {"a": "1", "b": "1"}}}
        problems = operations.keep(sitting=sitting, answers=given, at=AT).problems
        assert [(problem.position, problem.part) for problem in problems] == [(drop, "answer"), (order, "answer")]
        assert "Write the number first" in problems[0].sentence
        assert "a place of its own" in problems[1].sentence
        assert Answer.objects.get(item__position=drop).given == {"answer": "about four"}

    @pytest.mark.parametrize("value", ["\ud800", "\x00", 7, None, ["a"], {"x": object()}, b"3"])
    def test_leaves_out_what_no_page_can_send(self, site, theory, value):
        sitting = open_for(site.ada, theory)
        operations.keep(
            sitting=sitting, answers={place(sitting, "drop"): {"answer": value}, 99: {"answer": "1"}}, at=AT
        )
        assert all(
            isinstance(one, str) for given in Answer.objects.values_list("given", flat=True) for one in given.values()
        )

    def test_keeps_nothing_once_the_paper_is_handed_in(self, site, theory):
        sitting = open_for(site.ada, theory)
        hand_in(sitting, right(sitting))
        with pytest.raises(operations.Closed):
            operations.keep(sitting=sitting, answers={1: {"answer": ""}}, at=AT)

    def test_hands_in_what_was_kept_when_it_comes_after_the_grace(self, site, theory):
        sitting = open_for(site.ada, theory)
        operations.keep(sitting=sitting, answers=right(sitting), at=AT + HOUR + timedelta(seconds=30))
        with pytest.raises(operations.Closed):
            operations.keep(sitting=sitting, answers={1: {"answer": ""}}, at=AT + HOUR + timedelta(seconds=31))
        sitting.refresh_from_db()
        assert (sitting.passed, sitting.handed_in_at) == (True, AT + HOUR)


class TestHandIn:
    def test_passes_a_paper_of_right_answers(self, site, theory):
        sitting = hand_in(open_for(site.ada, theory), right(Sitting.objects.get()), at=AT + HOUR / 2)
        assert (sitting.passed, sitting.handed_in_at, queries.earned(sitting)) == (True, AT + HOUR / 2, 5)
        assert set(PartMark.objects.values_list("share_numerator", "share_denominator")) == {(1, 1)}

    def test_shares_one_mark_between_the_parts_of_a_question(self, site, theory):
        sitting = open_for(site.ada, theory)
        answers = right(sitting)
        answers[place(sitting, "chain")]["drop"] = "1 V"
        assert queries.earned(hand_in(sitting, answers)) == Fraction(9, 2)
        assert sitting.items.count() == 5

    def test_marks_a_later_part_from_the_candidates_own_earlier_answer(self, site, theory):
        """U = I R with the candidate's own R (Ohm's law, IEC 60050-131): the second part earns its share."""
        sitting = open_for(site.ada, theory)
        current = next(
            one
            for one in sitting.items.get(position=place(sitting, "chain")).shown["givens"]
            if one["name"] == "current"
        )
        answers = right(sitting) | {
            place(sitting, "chain"): {"loop": "100 mohm", "drop": f"{int(current['value']) / 10} V"}
        }
        assert queries.earned(hand_in(sitting, answers)) == Fraction(9, 2)
        assert PartMark.objects.get(part="drop").flags == ["carried-forward"]

    def test_names_the_misconception_behind_a_wrong_number(self, site, theory):
        sitting = open_for(site.ada, theory)
        at = place(sitting, "drop")
        wrong = sides(sitting.items.get(position=at))[0]["wrong"][0]
        hand_in(sitting, right(sitting) | {at: {"answer": wrong["shown"]}})
        mark = PartMark.objects.get(item__position=at)
        assert (mark.misconception, mark.share_numerator) == ("circuit.voltage_drop.upside_down", 0)
        assert wrong["says"] in mark.says

    def test_fails_a_paper_with_a_safety_question_wrong(self, site, theory):
        sitting = open_for(site.ada, theory)
        safety = sides(sitting.items.get(position=1))[0]
        hand_in(sitting, right(sitting) | {1: {"answer": safety["unsafe"][0]}})
        sitting.refresh_from_db()
        assert (queries.earned(sitting), sitting.passed) == (4, False)
        assert PartMark.objects.get(item__position=1).flags == ["unsafe"]

    def test_asks_again_for_what_cannot_be_read_and_keeps_the_rest(self, site, theory):
        sitting = open_for(site.ada, theory)
        at = place(sitting, "drop")
        with pytest.raises(bank.AskAgain, match="Write the number first") as caught:
            hand_in(sitting, right(sitting) | {at: {"answer": "four"}})
        assert [problem.position for problem in caught.value.problems] == [at]
        sitting.refresh_from_db()
        assert sitting.handed_in_at is None
        assert Answer.objects.count() == 5

    def test_changes_nothing_the_second_time(self, site, theory):
        sitting = open_for(site.ada, theory)
        first = hand_in(sitting, right(sitting))
        second = hand_in(sitting, {}, at=AT + DAY)
        assert (second.handed_in_at, second.passed) == (first.handed_in_at, True)
        assert Entry.objects.count() == 1

    def test_counts_only_what_was_kept_when_it_comes_too_late(self, site, theory):
        sitting = open_for(site.ada, theory)
        answers = right(sitting)
        operations.keep(sitting=sitting, answers={1: answers[1]}, at=AT)
        late = hand_in(sitting, answers, at=AT + 9 * DAY)
        assert (late.handed_in_at, queries.earned(late), late.passed) == (AT + HOUR, 1, False)

    def test_takes_answers_within_the_grace_and_stamps_the_end_of_the_time(self, site, theory):
        sitting = open_for(site.ada, theory)
        ended = hand_in(sitting, right(sitting), at=AT + HOUR + timedelta(seconds=30))
        assert (ended.handed_in_at, ended.passed) == (AT + HOUR, True)

    def test_counts_what_cannot_be_read_as_nothing_only_when_nobody_can_be_asked(self, site, theory):
        sitting = open_for(site.ada, theory)
        drop, order = place(sitting, "drop"), place(sitting, "order")
        given = right(sitting) | {drop: {"answer": "four"}, order: {"answer": {"a": "1"}}}
        operations.keep(sitting=sitting, answers=given, at=AT)
        assert queries.earned(hand_in(sitting, {}, at=AT + DAY)) == 3
        assert PartMark.objects.get(item__position=drop).flags == ["unreadable"]
        assert PartMark.objects.get(item__position=order).flags == ["unreadable"]

    def test_writes_who_and_a_digest_of_the_marks_to_the_ledger(self, site, theory):
        sitting = open_for(site.ada, theory)
        hand_in(sitting, right(sitting))
        entry = Entry.objects.get()
        assert (entry.by, entry.act, entry.at) == (site.ada.pk, "paper handed in", AT)
        assert (entry.about["sitting"], entry.about["passed"]) == (str(sitting.pk), True)
        assert len(entry.about["marks"]) == 64
        assert ledger.fault() == ""

    def test_is_undone_whole_when_the_ledger_cannot_be_written(self, site, theory, monkeypatch):
        sitting = open_for(site.ada, theory)
        monkeypatch.setattr(handing_in, "write", lambda **facts: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            hand_in(sitting, right(sitting))
        assert not PartMark.objects.exists()
        assert Sitting.objects.get().handed_in_at is None
