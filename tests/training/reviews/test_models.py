"""What the database itself refuses about corrections, new marks and appeals, and the sentence that goes with it."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.cast import AT
from training.bank.models import Correction
from training.ledger.models import NotEdited
from training.quizzes.models import Remark, RemarkedPart, SittingItem
from training.reviews.models import Appeal


def refused(row, message: str) -> None:
    """Prove that a row is refused twice: with its sentence before saving, and by the database whatever asks."""
    with pytest.raises(ValidationError, match=message):
        row.validate_constraints()
    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


@pytest.fixture
def correction(site, version):
    """A correction of the question of one right line, as its proposer sends it; `changed` replaces facts."""
    facts = {
        "question_version": version("one"),
        "change": {},
        "reason": "r",
        "proposed_by": site.tess,
        "proposed_at": AT,
    }
    return lambda **changed: Correction(**(facts | changed))


class TestCorrection:
    def test_is_one_at_a_time(self, correction):
        correction().save()
        refused(correction(), "waits already")

    @pytest.mark.parametrize(
        ("changed", "says"),
        [
            ({"reason": ""}, "Say why the key is wrong"),
            ({"decided_at": AT}, "by whom and when"),
            ({"applied": True}, "by whom and when"),
        ],
    )
    def test_says_why_and_by_whom(self, correction, changed, says):
        refused(correction(**changed), says)

    def test_is_applied_by_a_second_person_and_refused_for_a_reason(self, site, correction):
        decided = {"decided_at": AT, "decided_by": site.tess}
        refused(correction(applied=True, **decided), "Ask a second person")
        refused(correction(applied=False, **decided), "Say why the correction is not applied")
        correction(applied=False, refusal="Mine was wrong.", **decided).save()
        correction(applied=True, **(decided | {"decided_by": site.max})).save()


@pytest.fixture
def remark(site, sit):
    """A new mark of Ben's paper; `changed` replaces facts."""
    marks = {"was_numerator": 5, "was_denominator": 1, "earned_numerator": 4, "earned_denominator": 1}
    facts = {"sitting": sit(site.ben), "number": 1, "was_passed": True, "passed": False, "reason": "r"}
    return lambda **changed: Remark(**(facts | marks | {"by": site.max, "at": AT} | changed))


class TestRemark:
    def test_follows_the_one_before(self, remark):
        remark().save()
        refused(remark(), "marked again just now")
        remark(number=2).save()

    def test_is_one_for_a_correction(self, remark, correction):
        held = correction()
        held.save()
        remark(correction=held).save()
        refused(remark(number=2, correction=held), "marked this paper again already")

    @pytest.mark.parametrize(
        ("changed", "says"),
        [
            ({"number": 0}, "a number from 1"),
            ({"was_denominator": 0}, "a number from 1"),
            ({"earned_denominator": 0}, "a number from 1"),
            ({"reason": ""}, "Say why the paper is marked again"),
        ],
    )
    def test_is_a_mark_with_a_reason(self, remark, changed, says):
        refused(remark(**changed), says)

    def test_gives_a_part_once_from_nothing_to_all(self, remark):
        held = remark()
        held.save()
        mark = held.sitting.items.first().marks.get()
        share = {"share_numerator": 1, "share_denominator": 1}
        refused(
            RemarkedPart(remark=held, mark=mark, share_numerator=2, share_denominator=1), "from nothing to its whole"
        )
        RemarkedPart.objects.create(remark=held, mark=mark, **share)
        refused(RemarkedPart(remark=held, mark=mark, **share), "already marked again")

    def test_is_never_edited(self, remark):
        """Old marks are kept for ever."""
        held = remark()
        held.save()
        for act in (held.save, held.delete):
            with pytest.raises(NotEdited):
                act()


@pytest.fixture
def appeal(site, sit):
    """Ada's appeal about her whole paper; `changed` replaces facts."""
    facts = {"sitting": sit(site.ada), "candidate": site.ada, "wish": "conduct", "reason": "r", "asked_at": AT}
    return lambda **changed: Appeal(**(facts | changed))


class TestAppeal:
    def test_is_open_once_about_a_paper_and_about_a_question(self, appeal):
        appeal().save()
        refused(appeal(), "asked about this paper already")
        item = SittingItem.objects.first()
        appeal(wish="question", item=item).save()
        refused(appeal(wish="question", item=item), "asked about this question already")

    def test_names_its_question_and_reason(self, appeal):
        refused(appeal(wish="question"), "Name the question")
        refused(appeal(item=SittingItem.objects.first()), "Name the question")
        refused(appeal(reason=""), "Say why it is to be looked at")

    def test_is_owned_by_another(self, site, appeal):
        refused(appeal(owner=site.ada, taken_at=AT), "Another person takes it")
        refused(appeal(owner=site.max), "Another person takes it")

    def test_is_answered_in_words_by_its_owner(self, site, appeal):
        taken = {"owner": site.max, "taken_at": AT}
        refused(appeal(**taken, answered_at=AT, upheld=False), "in words")
        refused(appeal(answered_at=AT, upheld=False, answer="No."), "in words")
        refused(appeal(**taken, answer="No."), "in words")

    def test_has_a_new_mark_only_where_it_is_upheld(self, site, appeal, remark):
        held = remark(sitting=appeal().sitting)
        held.save()
        answered = {"owner": site.max, "taken_at": AT, "answered_at": AT, "answer": "a", "remark": held}
        refused(appeal(**answered, upheld=False), "right to ask")
        appeal(**answered, upheld=True).save()
