"""Opening the questions of a revision, and answering them until each was answered right."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from training.bridges import queries, rules
from training.bridges.models import Bridge
from training.bridges.queries import Told
from training.content.questions import read_question
from training.ledger.operations import write
from training.people.models import Person
from training.procedures.models import Revision
from training.questions import marking
from training.questions.book import calculations
from training.questions.draw import draw
from training.questions.item import Item
from training.quizzes import rules as quizzes
from training.quizzes.models import QuestionVersion
from training.quizzes.operations import AskAgain

Answers = Mapping[int, Mapping[str, Any]]


class OutOfTurn(Exception):
    """These questions were answered already, perhaps on another page; newer ones may be open."""


@transaction.atomic
def open_bridge(*, person: Person, revision: Revision, seed: str, at: datetime) -> Bridge:
    """Draw the questions of a revision for a person; a second time changes nothing.

    A question taken out of use since is left out: nobody is held up by one that was found wrong.
    """
    facts = {"seed": seed, "opened_at": at, "asked": _drawn(revision.questions, seed, turn=1)}
    bridge, _made = Bridge.objects.get_or_create(person=person, revision=revision, defaults=facts)
    return bridge


@transaction.atomic
def answer(*, bridge: Bridge, turn: int, answers: Answers, at: datetime) -> tuple[Told, ...]:
    """Take the answers of a turn by place and part, and return the questions that were not answered right.

    Those are drawn anew for the next turn; with none left all is answered. Raises OutOfTurn, or AskAgain with every
    answer that cannot be read.
    """
    live = Bridge.objects.select_for_update().get(pk=bridge.pk)
    if live.answered_at is not None or live.turn != turn:
        raise OutOfTurn
    given = {place: quizzes.tidy(one["shown"]["parts"], answers.get(place)) for place, one in _placed(live)}
    problems = [problem for place, one in _placed(live) for problem in _problems(place, one, given[place])]
    if problems:
        raise AskAgain(problems)
    marked = [(one, marking.mark(_item(one), quizzes.responses(given[place]))) for place, one in _placed(live)]
    wrong = [(one, marks) for one, marks in marked if not rules.all_right([mark.share for mark in marks])]
    live.turn += 1
    live.asked = _drawn([one["shown"]["key"] for one, _marks in wrong], live.seed, turn=live.turn)
    if not live.asked:
        live.answered_at = at
        about = {"bridge": live.pk, "revision": live.revision_id}
        write(by=live.person_id, act="procedure questions answered", about=about, at=at)
    live.save(update_fields=["turn", "asked", "answered_at"])
    return tuple(queries.told(one, marks) for one, marks in wrong)


def _placed(bridge: Bridge) -> list[tuple[int, Mapping[str, Any]]]:
    return list(enumerate(bridge.asked, start=1))


def _item(asked: Mapping[str, Any]) -> Item:
    return Item.from_json(asked["shown"], asked["sealed"])


def _problems(place: int, asked: Mapping[str, Any], given: Mapping[str, Any]) -> Iterable[quizzes.Problem]:
    for one in marking.unreadable(_item(asked), quizzes.responses(given)):
        yield quizzes.Problem(place, one.part, one.sentence)
    for part in quizzes.unfinished(given):
        yield quizzes.Problem(place, part, _("Give every line a place of its own, from 1 to the last."))


def _drawn(keys: Iterable[str], seed: str, *, turn: int) -> list[dict[str, Any]]:
    """Draw the newest version of each question in use, in the order asked, each turn with other numbers."""
    wanted = list(keys)
    versions = QuestionVersion.objects.filter(question__key__in=wanted, question__retired_at__isnull=True)
    newest = {one.question.key: one for one in versions.select_related("question").order_by("version")}
    # Draws were tried when the question was loaded; trying them again would cost the reader seconds.
    specs = [read_question(newest[key].body, book=calculations(), seeds=0) for key in wanted if key in newest]
    items = [draw(spec, f"{seed}:{turn}:{spec.key}") for spec in specs]
    return [{"shown": item.shown(), "sealed": item.key()} for item in items]
