"""What the database itself refuses, and the sentence that goes with it."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.cast import AT
from tests.training.quizzes.pool import right
from training.bank.models import QuestionVersion
from training.quizzes import operations
from training.quizzes.models import Answer, PaperIssue, PartMark, Sitting, SittingItem

UNTOUCHED = {"earned_numerator": None, "earned_denominator": None, "passed": None}
MARKED = {"handed_in_at": AT, "earned_numerator": 4, "earned_denominator": 1, "passed": True}


@pytest.fixture
def sitting(site, theory) -> Sitting:
    return operations.open_sitting(person=site.ada, paper=theory, seed="s1", at=AT)


def refused(row, message: str) -> None:
    """Prove that a row is refused twice: with its sentence before saving, and by the database whatever asks."""
    with pytest.raises(ValidationError, match=message):
        row.validate_constraints()
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


def copy(row, **changed: object):
    """Return an unsaved row with the same values and some changed."""
    facts = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields if not field.primary_key}
    return type(row)(**(facts | changed))


class TestOnce:
    def test_a_question_has_each_version_once(self, site):
        refused(copy(QuestionVersion.objects.first()), "already has a version of that number")

    def test_a_paper_has_each_issue_once(self, site):
        refused(copy(PaperIssue.objects.get()), "already has an issue of that number")

    def test_a_paper_has_one_question_in_a_place(self, sitting):
        refused(copy(SittingItem.objects.first()), "already has a question in that place")

    def test_a_question_has_one_answer(self, sitting):
        item = SittingItem.objects.first()
        Answer.objects.create(item=item, given={}, kept_at=AT)
        with pytest.raises(IntegrityError), transaction.atomic():
            Answer.objects.create(item=item, given={}, kept_at=AT)

    def test_a_part_is_marked_once(self, sitting):
        operations.hand_in(sitting=sitting, answers=right(sitting), at=AT)
        refused(copy(PartMark.objects.first()), "already marked")


class TestSitting:
    def test_is_open_once_for_a_person_and_a_paper(self, sitting):
        refused(copy(sitting), "already have this paper open")

    def test_may_stand_beside_those_that_are_over(self, sitting):
        operations.hand_in(sitting=sitting, answers={}, at=AT)
        for _ in range(2):
            copy(sitting, handed_in_at=None, **UNTOUCHED).validate_constraints()
            copy(sitting, **MARKED).save()

    def test_is_not_handed_in_before_it_was_opened(self, sitting):
        early = MARKED | {"handed_in_at": AT - timedelta(seconds=1)}
        refused(copy(sitting, **early), "cannot be handed in before it was opened")

    @pytest.mark.parametrize(
        "wrong",
        [
            {"handed_in_at": None},
            {"earned_numerator": None},
            {"earned_denominator": None},
            {"passed": None},
            {"earned_denominator": 0},
            {"earned_numerator": 6},
            {"earned_numerator": 11, "earned_denominator": 2},
        ],
    )
    def test_has_a_mark_within_its_maximum_once_handed_in_and_none_before(self, sitting, wrong):
        Sitting.objects.filter(pk=sitting.pk).update(**MARKED)
        refused(copy(sitting, **(MARKED | wrong)), "has its mark when it is handed in")

    def test_may_earn_its_maximum(self, sitting):
        copy(sitting, **(MARKED | {"earned_numerator": 10, "earned_denominator": 2})).save()


class TestPartMark:
    @pytest.mark.parametrize("share", [(2, 1), (1, 0), (0, 0)])
    def test_earns_from_nothing_to_its_whole_mark(self, sitting, share):
        item = SittingItem.objects.first()
        row = PartMark(item=item, part="answer", share_numerator=share[0], share_denominator=share[1])
        refused(row, "from nothing to its whole mark")

    def test_is_not_lost_with_its_question(self, sitting):
        operations.hand_in(sitting=sitting, answers={}, at=AT)
        for row in (sitting, SittingItem.objects.first(), QuestionVersion.objects.filter(uses__isnull=False).first()):
            with pytest.raises(IntegrityError):
                row.delete()
