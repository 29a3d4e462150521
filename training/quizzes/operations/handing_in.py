"""Keeping answers and handing in: the server's clock alone decides, and a paper is marked once."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from training.bank import rules as bank
from training.bank.operations import AskAgain, problems
from training.bank.rules import Problem
from training.ledger.operations import write
from training.questions import marking
from training.questions.canonical import digest
from training.questions.item import Item
from training.quizzes import queries, rules
from training.quizzes.models import Answer, PartMark, Sitting, SittingItem

Answers = Mapping[int, Mapping[str, object]]


class Closed(Exception):
    """The paper is handed in, or its time is over and it was handed in just now."""


def keep(*, sitting: Sitting, answers: Answers, at: datetime) -> tuple[Problem, ...]:
    """Keep answers by place and part, and return those that cannot be read. Raises Closed.

    A response is text for a number, the id of an option, or a list of ids; anything else is left out.
    """
    with transaction.atomic():
        live = locked(sitting.pk)
        late = live.handed_in_at is None and rules.overdue(due_at=live.due_at, at=at)
        if late:
            mark(live, at=at)
        if live.handed_in_at is None:
            return _keep(live, answers, at)
    raise Closed


def hand_in(*, sitting: Sitting, answers: Answers, at: datetime) -> Sitting:
    """Hand in and mark a paper; a second time changes nothing. Returns the sitting with its mark.

    After the time and its grace, `answers` are not looked at and what was kept counts. Raises AskAgain.
    """
    unread: Sequence[Problem] = ()
    with transaction.atomic():
        live = locked(sitting.pk)
        if live.handed_in_at is None:
            if not rules.overdue(due_at=live.due_at, at=at):
                unread = _keep(live, answers, at)
            if not unread:
                mark(live, at=at)
    if unread:
        raise AskAgain(unread)
    return live


def locked(pk: object) -> Sitting:
    """Return a sitting that nobody else changes until the transaction ends."""
    wanted = Sitting.objects.select_related("issue", "person__employer")
    return wanted.select_for_update(of=("self",)).get(pk=pk)


def _items(sitting: Sitting) -> list[tuple[SittingItem, dict[str, Any]]]:
    """Return the items of a sitting with what was last kept for each."""
    rows = sitting.items.select_related("question_version", "answer").defer("question_version__body")
    return [(row, row.answer.given if hasattr(row, "answer") else {}) for row in rows.order_by("position")]


def _keep(sitting: Sitting, answers: Answers, at: datetime) -> tuple[Problem, ...]:
    found: list[Problem] = []
    rows = []
    for item, before in _items(sitting):
        given = before | bank.tidy(item.shown["parts"], answers.get(item.position))
        if given != before:
            rows.append(Answer(item=item, given=given, kept_at=at))
        found += _problems(item, given)
    Answer.objects.bulk_create(rows, update_conflicts=True, unique_fields=["item"], update_fields=["given", "kept_at"])
    return tuple(found)


def _problems(item: SittingItem, given: Mapping[str, Any]) -> list[Problem]:
    return list(problems(item.position, Item.from_json(item.shown, item.sealed), given))


def mark(sitting: Sitting, *, at: datetime) -> None:
    """Mark what was kept and close the sitting; answers that cannot be read any more count as blank."""
    marked, rows = [], []
    for item, given in _items(sitting):
        marks = _part_marks(item, given)
        version = item.question_version
        shares = tuple(one.share for one in marks)
        marked.append(rules.Marked(item.position, version.topic, version.safety, shares))
        rows += [_row(item, one) for one in marks]
    PartMark.objects.bulk_create(rows)
    outcome = rules.outcome(marked, passing=queries.passing(sitting.issue))
    sitting.handed_in_at = rules.ended_at(opened_at=sitting.opened_at, due_at=sitting.due_at, at=at)
    sitting.earned_numerator, sitting.earned_denominator = outcome.earned.as_integer_ratio()
    sitting.passed = outcome.passed
    sitting.save(update_fields=["handed_in_at", "earned_numerator", "earned_denominator", "passed"])
    facts = [[one.item_id, one.part, one.share_numerator, one.share_denominator] for one in rows]
    about = {"sitting": str(sitting.pk), "issue": sitting.issue_id, "passed": sitting.passed, "marks": digest(facts)}
    write(by=sitting.person_id, act="paper handed in", about=about, at=at)


def _part_marks(item: SittingItem, given: Mapping[str, Any]) -> list[marking.PartMark]:
    drawn = Item.from_json(item.shown, item.sealed)
    unread = {one.part: one.sentence for one in _problems(item, given)}
    readable = {part: one for part, one in bank.responses(given).items() if part not in unread}
    return [
        one if one.name not in unread else replace(one, **_unread(given[one.name], unread[one.name]))
        for one in marking.mark(drawn, readable)
    ]


def _unread(given: object, sentence: str) -> dict[str, Any]:
    read = given if isinstance(given, str) else _("not finished")
    return {"flags": ("unreadable",), "says": sentence, "read": read}


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
