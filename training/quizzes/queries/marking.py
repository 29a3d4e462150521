"""The marks of what was answered, with the keys put right that were found wrong since the paper was drawn."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _

from training.bank import rules as bank
from training.bank.operations import problems
from training.questions import marking
from training.questions.correcting import Change, corrected, dropped, given_whole
from training.questions.item import Item
from training.quizzes import rules
from training.quizzes.models import PaperIssue, SittingItem


def outcome_of(issue: PaperIssue, marked: Sequence[rules.Marked]) -> rules.Outcome:
    """Return what marked questions come to under the issue of their paper."""
    return rules.outcome(marked, passing=Fraction(issue.body["passing"]), by_topic=bool(issue.body.get("part_months")))


def part_marks(item: SittingItem, given: Mapping[str, Any], changes: Sequence[Change] = ()) -> list[marking.PartMark]:
    """Mark one question; an answer that cannot be read any more counts as blank. Raises correcting.Unmatched."""
    drawn = corrected(Item.from_json(item.shown, item.sealed), changes)
    unread = {one.part: one.sentence for one in problems(item.position, drawn, given)}
    readable = {part: one for part, one in bank.responses(given).items() if part not in unread}
    marks = [
        one if one.name not in unread else replace(one, **_unread(given[one.name], unread[one.name]))
        for one in marking.mark(drawn, readable)
    ]
    return [given_whole(one) for one in marks] if dropped(changes) else marks


def _unread(given: object, sentence: str) -> dict[str, Any]:
    read = given if isinstance(given, str) else _("not finished")
    return {"flags": ("unreadable",), "says": sentence, "read": read}
