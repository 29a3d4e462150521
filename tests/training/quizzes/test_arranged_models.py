"""What the database refuses about consent, identity, time, retraining and breaks, and the sentence beside it."""

from datetime import timedelta
from decimal import Decimal

import pytest

from tests.cast import AT, ON
from tests.training.quizzes.test_models import copy, refused
from training.bank.models import Question
from training.quizzes import operations
from training.quizzes.models import Accommodation, Admission, Retraining, Seen, Sitting


@pytest.fixture
def time(site, theory) -> Accommodation:
    facts = {"factor": Decimal("1.25"), "break_minutes": 10, "reason": "r", "decided_by": site.tess, "decided_at": AT}
    return Accommodation.objects.create(person=site.ada, paper=theory, **facts)


@pytest.fixture
def waiting(site, theory) -> Admission:
    return Admission.objects.create(person=site.ada, paper=theory, agreed_at=AT)


class TestAccommodation:
    @pytest.mark.parametrize("factor", ["0.99", "3.01"])
    def test_takes_a_factor_from_one_to_three(self, time, factor):
        refused(copy(time, factor=Decimal(factor)), "factor from 1 to 3")

    def test_takes_two_hours_of_breaks_at_most(self, time):
        refused(copy(time, break_minutes=121), "at most 120 minutes")

    def test_is_never_decided_by_the_person_themself(self, time):
        refused(copy(time, decided_by_id=time.person_id), "their own time")

    def test_says_whose_it_is(self, time):
        assert str(time) == f"{time.person_id} on {time.paper_id}: 1.25"


class TestRetraining:
    @pytest.fixture
    def given(self, site, theory) -> Retraining:
        facts = {"ended_on": ON, "said_by": site.tess, "recorded_at": AT}
        return Retraining.objects.create(person=site.ada, paper=theory, **facts)

    def test_is_stated_by_another(self, given):
        refused(copy(given, said_by_id=given.person_id, ended_on=ON - timedelta(days=1)), "their own retraining")

    def test_is_on_record_once_a_day(self, given):
        refused(copy(given), "already on record")
        assert str(given).endswith("to 2026-11-25")


class TestSeen:
    def test_is_noted_once_a_day(self, site):
        seen = Seen.objects.create(person=site.ada, question=Question.objects.first(), on=ON)
        refused(copy(seen), "already noted as seen")
        assert str(seen).endswith("on 2026-11-25")


class TestAdmission:
    def test_waits_once_for_a_paper(self, waiting):
        refused(copy(waiting), "already wait")
        assert str(waiting) == f"{waiting.person_id} to {waiting.paper_id}"

    def test_is_confirmed_by_someone_at_a_moment_after_the_consent(self, site, waiting):
        waiting.delete()
        for changed in (
            {"admitted_at": AT},
            {"invigilator_id": site.tess.pk},
            {"invigilator_id": site.tess.pk, "admitted_at": AT - timedelta(seconds=1)},
        ):
            refused(copy(waiting, **changed), "confirmed by someone")

    def test_is_confirmed_by_another(self, waiting):
        waiting.delete()
        refused(copy(waiting, invigilator_id=waiting.person_id, admitted_at=AT), "their own identity")


class TestSitting:
    def test_has_no_break_after_its_end(self, site, theory):
        sitting = operations.open_sitting(person=site.ada, paper=theory, seed="s1", at=AT)
        operations.hand_in(sitting=sitting, answers={}, at=AT)
        ended = Sitting.objects.get()
        ended.paused_at = AT
        refused(ended, "has no break running")
