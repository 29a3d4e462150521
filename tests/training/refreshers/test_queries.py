"""What is remembered of each topic, from drills, papers and work."""

from datetime import date, timedelta

import pytest
import time_machine
from django.utils import timezone

from tests.cast import AT, ON, Cast
from tests.training.quizzes.pool import right as paper_right
from tests.training.refreshers.answers import answered, noon
from training.quizzes import operations as quizzes
from training.quizzes.models import Paper
from training.refreshers import operations, queries
from training.refreshers.queries.memories import next_words
from training.refreshers.rules import Outcome, Review


def day(number: int) -> date:
    return ON + timedelta(days=number)


def sit(site: Cast, *, passes: bool) -> None:
    sitting = quizzes.open_sitting(person=site.ada, paper=Paper.objects.get(), seed="s", at=AT)
    quizzes.hand_in(sitting=sitting, answers=paper_right(sitting) if passes else {}, at=AT)


class TestReviews:
    def test_begin_with_a_passed_paper_in_each_of_its_topics(self, site: Cast):
        sit(site, passes=True)
        once = [Review(ON, Outcome.RIGHT)]
        assert queries.reviews([site.ada])[site.ada.pk] == {"safety": once, "setup": once, "firing": once}

    def test_do_not_begin_with_a_paper_that_was_not_passed(self, site: Cast):
        sit(site, passes=False)
        assert queries.reviews([site.ada]) == {}

    def test_take_papers_drills_and_work_in_their_order(self, site: Cast, django_assert_num_queries):
        answered(site.ada, "setup", day(9), Outcome.WRONG)
        sit(site, passes=True)
        operations.count_work(person=site.ada, topics=["setup"], at=noon(day(5)))
        answered(site.ben, "setup", day(1), Outcome.HELPED)
        people = [site.ada, site.ben]
        assert {one.employer.zone for one in people} == {"Europe/London"}
        with django_assert_num_queries(1):
            found = queries.reviews(people)
        assert found[site.ada.pk]["setup"] == [
            Review(ON, Outcome.RIGHT),
            Review(day(5), Outcome.RIGHT),
            Review(day(9), Outcome.WRONG),
        ]
        assert found[site.ben.pk]["setup"] == [Review(day(1), Outcome.HELPED)]

    def test_lie_on_the_local_day(self, site: Cast):
        """23:30 UTC in June is the next day in London."""
        site.ada.employer.zone = "Europe/London"
        moment = noon(date(2027, 6, 1)) + timedelta(hours=11, minutes=30)
        operations.count_work(person=site.ada, topics=["setup"], at=moment)
        assert queries.reviews([site.ada])[site.ada.pk]["setup"][0].on == date(2027, 6, 2)

    def test_leave_out_questions_that_were_not_answered(self, site: Cast, drill):
        assert queries.reviews([site.ada]) == {}


class TestRefreshers:
    def test_are_due_eight_days_after_one_that_went_right(self, site: Cast, django_assert_num_queries):
        answered(site.ada, "setup", ON)
        with django_assert_num_queries(2):
            assert queries.due(site.ada, on=day(7)) == ()
        (one,) = queries.due(site.ada, on=day(8))
        assert (one.topic.title, one.memory.due_on, one.words) == ("Setting up", day(8), "due now")

    def test_move_when_work_is_confirmed(self, site: Cast):
        """A confirmed job counts as a refresher that went right."""
        answered(site.ada, "setup", ON)
        operations.count_work(person=site.ada, topics=["setup"], at=noon(day(8)))
        (one,) = [one for one in queries.refreshers(site.ada, on=day(8)) if one.memory]
        assert one.memory.due_on == day(83)

    def test_cost_the_same_after_years(self, site: Cast, django_assert_num_queries):
        for number in range(400):
            answered(site.ada, "setup", ON - timedelta(days=number))
        with django_assert_num_queries(2):
            queries.due(site.ada, on=ON)


class TestPage:
    def test_parts_due_later_and_not_begun(self, site: Cast):
        answered(site.ada, "firing", ON)
        page = queries.page(site.ada, on=day(20))
        assert [one.topic.slug for one in page.due] == ["firing"]
        assert [one.topic.slug for one in page.fresh] == ["setup"]
        assert page.fresh[0].words == "not begun"
        page = queries.page(site.ada, on=day(1))
        assert [one.topic.slug for one in page.later] == ["firing"]
        assert (page.hand_days, page.worked_on, page.mail_wanted) == (64, None, False)

    def test_tells_when_work_was_last_confirmed(self, site: Cast):
        for number in (1, 9, 4):
            operations.count_work(person=site.ada, topics=["setup"], at=noon(day(number)))
        assert queries.page(site.ada, on=day(20)).worked_on == day(9)


class TestWords:
    @pytest.mark.parametrize(
        ("days", "words"),
        [
            (-3, "due now"),
            (0, "due now"),
            (1, "tomorrow"),
            (2, "in 2 days, on 27 Nov 2026"),
            (13, "in 13 days, on 8 Dec 2026"),
            (14, "in about 2 weeks, on 9 Dec 2026"),
            (59, "in about 8 weeks, on 23 Jan 2027"),
            (180, "in about 6 months, on 24 May 2027"),
        ],
    )
    def test_say_a_day_as_a_person_does(self, days: int, words: str):
        assert next_words(day(days), on=ON) == words


class TestOutlooks:
    def test_are_of_topics_that_have_begun(self, site: Cast, django_assert_num_queries):
        answered(site.ada, "setup", ON)
        with django_assert_num_queries(2):
            (one,) = queries.outlooks(site.ada, on=ON, until=day(1096))
        assert [(memory.last_on - ON).days for memory in one.every] == [0, 8, 83, 263, 443, 623, 803, 983]


class TestSheet:
    def test_tells_the_answers_of_today_alone(self, site: Cast, drill):
        topic = queries.topics()[0]
        assert queries.sheet(site.ada, topic, on=ON).drill == drill.pk
        operations.answer(drill=drill, answers={}, helped=False, at=AT)
        page = queries.sheet(site.ada, topic, on=ON)
        assert (page.outcome, len(page.wrong), page.right, page.drill) == ("wrong", 3, (), 0)
        assert page.refresher.memory.due_on == day(1)
        with time_machine.travel(noon(day(1)), tick=False):
            later = queries.sheet(site.ada, topic, on=timezone.now().date())
        assert (later.outcome, later.drill, later.questions) == (None, 0, ())
