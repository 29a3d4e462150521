"""Opening the questions of a revision, and answering them until each was answered right."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from training.bank import rules as bank
from training.bank.operations import AskAgain, problems
from training.bank.queries import Told, drawn, newest, told
from training.bridges.models import Bridge
from training.ledger.operations import write
from training.people.models import Person
from training.procedures.models import Revision
from training.questions import marking
from training.questions.item import Item

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
    given = {place: bank.tidy(one["shown"]["parts"], answers.get(place)) for place, one in _placed(live)}
    unread = [problem for place, one in _placed(live) for problem in problems(place, _item(one), given[place])]
    if unread:
        raise AskAgain(unread)
    marked = [(one, marking.mark(_item(one), bank.responses(given[place]))) for place, one in _placed(live)]
    wrong = [(one, marks) for one, marks in marked if not bank.all_right([mark.share for mark in marks])]
    live.turn += 1
    live.asked = _drawn([one["shown"]["key"] for one, _marks in wrong], live.seed, turn=live.turn)
    if not live.asked:
        live.answered_at = at
        about = {"bridge": live.pk, "revision": live.revision_id}
        write(by=live.person_id, act="procedure questions answered", about=about, at=at)
    live.save(update_fields=["turn", "asked", "answered_at"])
    return tuple(told(one["shown"], one["sealed"], marks) for one, marks in wrong)


def _placed(bridge: Bridge) -> list[tuple[int, Mapping[str, Any]]]:
    return list(enumerate(bridge.asked, start=1))


def _item(asked: Mapping[str, Any]) -> Item:
    return Item.from_json(asked["shown"], asked["sealed"])


def _drawn(keys: Iterable[str], seed: str, *, turn: int) -> list[dict[str, Any]]:
    """Draw the newest version of each question in use, in the order asked, each turn with other numbers."""
    versions = newest(wanted := list(keys))
    items = [drawn(versions[key], seed=f"{seed}:{turn}:{key}") for key in wanted if key in versions]
    return [{"shown": item.shown(), "sealed": item.key()} for item in items]
