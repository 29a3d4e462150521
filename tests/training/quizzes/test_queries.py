"""Who has passed a paper."""

from datetime import timedelta

import pytest

from tests.cast import AT
from tests.training.quizzes.pool import right
from training.quizzes import operations, queries


@pytest.fixture
def sit(theory):
    """Return a function that sits the paper for a person so many days from AT."""

    def sit(person, days, *, passes=True):
        at = AT + timedelta(days=days)
        sitting = operations.open_sitting(person=person, paper=theory, seed=str(at), at=at)
        return operations.hand_in(sitting=sitting, answers=right(sitting) if passes else {}, at=at)

    return sit


class TestPassed:
    def test_is_the_latest_passed_sitting_even_when_a_renewal_was_missed(self, site, sit):
        sit(site.ada, 0)
        second = sit(site.ada, 1)
        sit(site.ada, 2, passes=False)
        assert queries.passed_sitting(site.ada, "bonding-theory") == second

    def test_is_none_for_another_person_or_paper(self, site, sit):
        sit(site.ada, 0)
        sit(site.ben, 0, passes=False)
        assert queries.passed_sitting(site.ben, "bonding-theory") is None
        assert queries.passed_sitting(site.ada, "lead-theory") is None

    def test_gives_each_persons_latest_oldest_first(self, site, sit, django_assert_num_queries):
        sit(site.ada, 0)
        ben = sit(site.ben, 1)
        ada = sit(site.ada, 2)
        sit(site.quin, 0, passes=False)
        with django_assert_num_queries(1):
            passed = queries.passed_people("bonding-theory")
            assert [one.person.employer.slug for one in passed] == ["northmoor", "northmoor"]
        assert passed == [ben, ada]
