"""Marking handed-in papers again: new rows beside the old, and the last one counts."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from training.bank.models import Correction, QuestionVersion
from training.ledger.operations import write
from training.people.models import Person
from training.questions.canonical import digest
from training.quizzes.models import Remark, RemarkedPart, Sitting, SittingItem
from training.quizzes.queries.counting import Again


def hold_back(version: QuestionVersion) -> None:
    """Lock a version and every sitting that asks it until the transaction ends.

    Nobody draws or hands in a paper with this question meanwhile, so none is marked by the key as it was and missed.
    """
    QuestionVersion.objects.select_for_update().get(pk=version.pk)
    asked = SittingItem.objects.filter(question_version=version).values("sitting")
    list(Sitting.objects.select_for_update().filter(pk__in=asked).order_by("pk").values_list("pk"))


@transaction.atomic
def mark_again(
    *, papers: Sequence[Again], reason: str, by: Person, at: datetime, correction: Correction | None = None
) -> list[Remark]:
    """Write the new marks of locked sittings; those of the hand-in are left as they are."""
    remarks = [_remark(one, reason=reason, by=by, at=at, correction=correction) for one in papers]
    for remark, one in zip(remarks, papers, strict=True):
        RemarkedPart.objects.bulk_create(
            RemarkedPart(
                remark=remark,
                mark=mark,
                share_numerator=new.share.numerator,
                share_denominator=new.share.denominator,
                flags=list(new.flags),
                says=new.says,
            )
            for mark, new in one.fresh
        )
    facts = [[str(one.sitting_id), one.number, one.was_passed, one.passed] for one in remarks]
    shares = [[mark.pk, str(new.share)] for one in papers for mark, new in one.fresh]
    about = {"papers": facts, "marks": digest(shares), "correction": correction and correction.pk}
    write(by=by.pk, act="papers marked again", about=about, at=at)
    return remarks


def _remark(one: Again, *, reason: str, by: Person, at: datetime, correction: Correction | None) -> Remark:
    earned, was = one.outcome.earned, one.was.earned
    return Remark.objects.create(
        sitting=one.sitting,
        number=one.sitting.remarks.count() + 1,
        correction=correction,
        was_numerator=was.numerator,
        was_denominator=was.denominator,
        was_passed=one.was.passed,
        earned_numerator=earned.numerator,
        earned_denominator=earned.denominator,
        passed=one.outcome.passed,
        short=list(one.outcome.topics),
        reason=reason,
        by=by,
        at=at,
    )
