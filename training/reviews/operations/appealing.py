"""Asking about a mark, and answering: the owner had no part in the paper, and both marks are kept."""

from collections.abc import Mapping
from datetime import date, datetime
from fractions import Fraction

from django.db import transaction
from django.utils.translation import gettext as _

from training.ledger.operations import write
from training.people.models import Person
from training.questions.canonical import digest
from training.questions.marks import PartMark
from training.quizzes.models import Remark, Sitting
from training.quizzes.operations import mark_again
from training.quizzes.queries.counting import again, loaded
from training.reviews import rules
from training.reviews.models import Appeal
from training.reviews.queries import appeals as queries
from training.reviews.rules import State, Wish

ON_APPEAL = "Marked again on appeal."


class NotAppealed(Exception):
    """The appeal cannot be made, taken or answered like that; the message says what to do."""


class TooLate(NotAppealed):
    """The days in which to ask are over."""


class Involved(NotAppealed):
    """This person had a part in the paper and may not look at it again."""


def ask(*, sitting: Sitting, position: int | None, reason: str, by: Person, at: datetime, on: date) -> Appeal:
    """Ask for the question at a place, or the whole paper, to be looked at again; asked twice it is one appeal.

    Raises NotAppealed, TooLate.
    """
    with transaction.atomic():
        held = Sitting.objects.select_for_update().get(pk=sitting.pk)
        if held.person_id != by.pk or held.handed_in_at is None:
            raise NotAppealed(_("Only who sat a paper asks about it, once it is handed in."))
        if on > queries.ask_until(held):
            raise TooLate(_("The days in which to ask about this paper are over."))
        item = held.items.get(position=position) if position else None
        wish = Wish.QUESTION if item else Wish.CONDUCT
        known = Appeal.objects.filter(sitting=held, item=item, answered_at__isnull=True).first()
        if known is not None:
            return known
        facts = {"sitting": held, "candidate": by, "wish": wish, "item": item, "reason": reason}
        appeal = Appeal.objects.create(**facts, asked_at=at)
        about = {"appeal": appeal.pk, "sitting": str(held.pk), "item": item and item.pk}
        write(by=by.pk, act="appeal made", about=about, at=at)
        return appeal


def take(*, appeal: Appeal, by: Person, at: datetime, on: date) -> Appeal:
    """Take an appeal that nobody looks at; the owner had no part in the paper. Raises NotAppealed, Involved.

    One whose owner's account was closed is free again.
    """
    with transaction.atomic():
        held = _locked(appeal)
        if held.owner_id == by.pk:
            return held
        if not held.is_free:
            raise NotAppealed(_("Somebody else looks at this already."))
        tied = queries.tie_words(held, by, is_staff=queries.is_staff(by, on=on))
        if tied:
            raise Involved(" ".join(tied))
        held.owner, held.taken_at = by, at
        held.save(update_fields=["owner", "taken_at"])
        write(by=by.pk, act="appeal taken", about={"appeal": held.pk}, at=at)
        return held


def _locked(appeal: Appeal) -> Appeal:
    Appeal.objects.select_for_update().get(pk=appeal.pk)
    # Read after the lock: what a waiting query joined before it is as old as the wait.
    return queries.appeals().get(pk=appeal.pk)


def answer(
    *, appeal: Appeal, upheld: bool, words: str, shares: Mapping[str, Fraction], by: Person, at: datetime
) -> Appeal:
    """Answer an appeal in words and, where it is upheld, with new shares by part. Raises NotAppealed.

    A part left out keeps its mark; nobody loses a mark by asking.
    """
    with transaction.atomic():
        Sitting.objects.select_for_update().get(pk=appeal.sitting_id)
        held = _locked(appeal)
        if held.owner_id != by.pk:
            raise NotAppealed(_("Only who took this appeal answers it."))
        if held.state is State.ANSWERED:
            raise NotAppealed(_("This appeal is answered already."))
        held.remark = _remark(held, shares, words, by, at) if upheld else None
        held.upheld, held.answer, held.answered_at = upheld, words, at
        held.save(update_fields=["upheld", "answer", "answered_at", "remark"])
        about = {"appeal": held.pk, "upheld": upheld, "remark": held.remark_id, "answer": digest([words])}
        write(by=by.pk, act="appeal answered", about=about, at=at)
        return held


def _remark(held: Appeal, shares: Mapping[str, Fraction], words: str, by: Person, at: datetime) -> Remark | None:
    """Mark the question again where a share changes; None where every part keeps its mark."""
    if held.item is None:
        return None
    lines = {line.name: line.share for line in queries.parts(held.item)}
    raised = {part: share for part, share in shares.items() if share != lines[part]}
    if any(share not in rules.shares_from(lines[part]) for part, share in raised.items()):
        raise NotAppealed(_("A part keeps its mark or gets more, in quarters."))
    if not raised:
        return None
    new = {
        (held.item.pk, part): PartMark(name=part, share=share, flags=("appeal",), says=ON_APPEAL)
        for part, share in raised.items()
    }
    paper = again(loaded(Sitting.objects.filter(pk=held.sitting_id)).get(), new)
    return mark_again(papers=[paper], reason=words, by=by, at=at)[0]
