"""Keeping answers and handing in: the server's clock alone decides, and a paper is marked once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from training.bank import rules as bank
from training.bank.operations import AskAgain, problems
from training.bank.queries import changes
from training.bank.rules import Problem
from training.ledger.operations import write
from training.questions import marking
from training.questions.canonical import digest
from training.questions.item import Item
from training.quizzes import queries, rules
from training.quizzes.models import Answer, PartMark, Sitting, SittingItem
from training.quizzes.rules import Page

Answers = Mapping[int, Mapping[str, object]]


class Closed(Exception):
    """The paper is handed in, or its time is over and it was handed in just now."""


class OnBreak(Exception):
    """A break runs: nothing is kept and nothing handed in until it is ended."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What keeping came to: what cannot be read, the places where a newer answer stays, the turn of every answer."""

    problems: tuple[Problem, ...]
    stale: tuple[int, ...]
    turns: Mapping[int, int]


def keep(*, sitting: Sitting, answers: Answers, page: Page | None = None, at: datetime) -> Kept:
    """Keep answers by place and part. An answer that another page kept since this one was made is left alone.

    A response is text for a number, the id of an option, or a list of ids; anything else is left out.
    Raises Closed or OnBreak.
    """
    with transaction.atomic():
        live = locked(sitting.pk)
        late = live.handed_in_at is None and rules.overdue(due_at=live.due(at), at=at)
        if late:
            mark(live, at=at)
        if live.handed_in_at is None:
            return _keep(live, answers, page, at)
    raise Closed


def hand_in(*, sitting: Sitting, answers: Answers, at: datetime) -> Sitting:
    """Hand in and mark a paper; a second time changes nothing. Returns the sitting with its mark.

    After the time and its grace, `answers` are not looked at and what was kept counts. Raises AskAgain or OnBreak.
    """
    unread: Sequence[Problem] = ()
    with transaction.atomic():
        live = locked(sitting.pk)
        if live.handed_in_at is None:
            if not rules.overdue(due_at=live.due(at), at=at):
                unread = _keep(live, answers, None, at).problems
            if not unread:
                mark(live, at=at)
    if unread:
        raise AskAgain(unread)
    return live


def locked(pk: object) -> Sitting:
    """Return a sitting that nobody else changes until the transaction ends."""
    wanted = Sitting.objects.select_related("issue", "person__employer")
    return wanted.select_for_update(of=("self",)).get(pk=pk)


def _items(sitting: Sitting) -> list[tuple[SittingItem, Answer]]:
    """Return the items of a sitting with what was last kept for each, or an answer that was never kept."""
    rows = sitting.items.select_related("question_version", "answer").defer("question_version__body")
    blank = {"given": {}, "turn": 0, "kept_at": None}
    return [
        (row, row.answer if hasattr(row, "answer") else Answer(item=row, **blank)) for row in rows.order_by("position")
    ]


def _keep(sitting: Sitting, answers: Answers, page: Page | None, at: datetime) -> Kept:
    if sitting.paused_at is not None:
        raise OnBreak
    problems: list[Problem] = []
    rows, stale, turns = [], [], {}
    for item, held in _items(sitting):
        place = item.position
        given = held.given | bank.tidy(item.shown["parts"], answers.get(place))
        flagged = page.flags.get(place, held.flagged) if page else held.flagged
        if (_said(given), flagged) != (_said(held.given), held.flagged):
            if page and page.is_behind(place, turn=held.turn, kept_by=held.page):
                given = held.given
                stale.append(place)
            else:
                rows.append(_turned(held, given, page, flagged, at))
        turns[place] = held.turn
        problems += _problems(item, given)
    names = ["given", "kept_at", "turn", "page", "flagged"]
    Answer.objects.bulk_create(rows, update_conflicts=True, unique_fields=["item"], update_fields=names)
    return Kept(tuple(problems), tuple(stale), turns)


def _said(given: Mapping[str, Any]) -> dict[str, Any]:
    """Return the parts that were answered: a field left empty, which a page sends along, is no answer to keep."""
    return {part: value for part, value in given.items() if not bank.blank(value)}


def _turned(held: Answer, given: dict[str, Any], page: Page | None, flagged: bool, at: datetime) -> Answer:
    """Return an answer one turn on; a flag alone does not make it an answer of a later moment."""
    if given != held.given or held.kept_at is None:
        held.kept_at = at
    held.pk, held.given, held.flagged = None, given, flagged
    held.turn, held.page = held.turn + 1, page.id if page else ""
    return held


def _problems(item: SittingItem, given: Mapping[str, Any]) -> list[Problem]:
    return list(problems(item.position, Item.from_json(item.shown, item.sealed), given))


def mark(sitting: Sitting, *, at: datetime) -> None:
    """Mark what was kept and close the sitting; answers that cannot be read any more count as blank."""
    marked, rows = [], []
    items = _items(sitting)
    # A key found wrong while the paper was out is put right before it is marked.
    corrections = changes([item.question_version_id for item, _held in items])
    for item, held in items:
        marks = queries.part_marks(item, held.given, corrections.get(item.question_version_id, ()))
        version = item.question_version
        shares = tuple(one.share for one in marks)
        marked.append(rules.Marked(item.position, version.topic, version.safety, shares))
        rows += [_row(item, one) for one in marks]
    PartMark.objects.bulk_create(rows)
    outcome = queries.outcome_of(sitting.issue, marked)
    sitting.due_at, sitting.paused_at, sitting.short = sitting.due(at), None, list(outcome.topics)
    sitting.handed_in_at = rules.ended_at(opened_at=sitting.opened_at, due_at=sitting.due_at, at=at)
    sitting.earned_numerator, sitting.earned_denominator = outcome.earned.as_integer_ratio()
    sitting.passed = outcome.passed
    names = ["handed_in_at", "earned_numerator", "earned_denominator", "passed", "due_at", "paused_at", "short"]
    sitting.save(update_fields=names)
    facts = [[one.item_id, one.part, one.share_numerator, one.share_denominator] for one in rows]
    about = {"sitting": str(sitting.pk), "issue": sitting.issue_id, "passed": sitting.passed, "marks": digest(facts)}
    write(by=sitting.person_id, act="paper handed in", about=about, at=at)


def _row(item: SittingItem, one: marking.PartMark) -> PartMark:
    return PartMark(
        item=item,
        part=one.name,
        share_numerator=one.share.numerator,
        share_denominator=one.share.denominator,
        flags=list(one.flags),
        misconception=one.misconception or "",
        says=one.says,
        read=one.read[:400],
    )
