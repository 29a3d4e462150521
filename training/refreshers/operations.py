"""Opening a drill, answering it, counting work, and who is reminded when. No ledger: nothing here decides anything."""

from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from training.bank import rules as bank
from training.bank.operations import AskAgain, problems
from training.bank.queries import drawn
from training.people.models import Person
from training.questions import marking
from training.questions.item import Item
from training.quizzes.operations import note_seen
from training.quizzes.queries import examined
from training.refreshers import queries, rules
from training.refreshers.models import Drill, MailChoice, Reminder, WorkDone
from training.refreshers.queries.drills import shown_before
from training.refreshers.rules import Candidate

Answers = Mapping[int, Mapping[str, Any]]


class NothingToAsk(Exception):
    """No question of this topic may be asked in practice."""


class Answered(Exception):
    """This drill was answered already, perhaps on another page."""


class NoAddress(ValueError):
    """There is no e-mail address to send to; the message says whom to ask."""


@transaction.atomic
def open_drill(*, person: Person, topic: str, language: str, seed: str, on: date, at: datetime) -> Drill:
    """Draw the questions of a topic for a person's day; a second time that day changes nothing. Raises NothingToAsk."""
    made = Drill.objects.filter(person=person, topic=topic, on=on).first()
    if made is not None:
        return made
    # What stands on the day's examination paper is left out here, and what is asked here is left out there.
    barred = examined(person, on=on)
    versions = {key: one for key, one in queries.pool(topic, language=language).items() if key not in barred}
    if not versions:
        raise NothingToAsk
    candidates = [Candidate(key, tuple(one.body.get("enemies", ()))) for key, one in versions.items()]
    keys = rules.chosen(candidates, shown=shown_before(person, topic), seed=seed)
    note_seen(person=person, questions=[versions[key].question for key in keys], on=on)
    items = [drawn(versions[key], seed=f"{seed}:{key}") for key in keys]
    facts = {
        "seed": seed,
        "keys": list(keys),
        "asked": [{"shown": item.shown(), "sealed": item.key()} for item in items],
        "opened_at": at,
    }
    # Of two taps at once the second finds the first one's row.
    drill, _made = Drill.objects.get_or_create(person=person, topic=topic, on=on, defaults=facts)
    return drill


@transaction.atomic
def answer(*, drill: Drill, answers: Answers, helped: bool, at: datetime) -> Drill:
    """Take the answers of a drill by place and part, once, and say how it went.

    Raises Answered, or AskAgain with every answer that cannot be read.
    """
    live = Drill.objects.select_for_update().get(pk=drill.pk)
    if live.answered_at is not None:
        raise Answered
    sides = [(place, one, Item.from_json(one["shown"], one["sealed"])) for place, one in enumerate(live.asked, start=1)]
    given = {place: bank.tidy(one["shown"]["parts"], answers.get(place)) for place, one, _item in sides}
    unread = [problem for place, _one, item in sides for problem in problems(place, item, given[place])]
    if unread:
        raise AskAgain(unread)
    shares = [mark.share for place, _one, item in sides for mark in marking.mark(item, bank.responses(given[place]))]
    live.given = {str(place): value for place, value in given.items()}
    live.outcome = rules.outcome(shares, helped=helped)
    live.answered_at = at
    live.save(update_fields=["given", "outcome", "answered_at"])
    return live


@transaction.atomic
def count_work(*, person: Person, topics: Collection[str], at: datetime) -> None:
    """Count confirmed work as a drill that went right, for each of these topics; a second time changes nothing."""
    rows = [WorkDone(person=person, topic=topic, at=at) for topic in topics]
    WorkDone.objects.bulk_create(rows, ignore_conflicts=True)


@transaction.atomic
def choose_mail(*, person: Person, wanted: bool, at: datetime) -> MailChoice:
    """Keep whether a person wants mail about refreshers. Raises NoAddress."""
    if wanted and not person.email:
        raise NoAddress(_("Your account has no e-mail address. Ask your administrator to enter it, then choose again."))
    facts = {"wanted": wanted, "chosen_at": at}
    choice, _made = MailChoice.objects.update_or_create(person=person, defaults=facts)
    return choice


@transaction.atomic
def write_reminder(*, person: Person, topics: Collection[str], on: date, at: datetime) -> Reminder | None:
    """Write down the mail of a person's day before it is sent; None when that day has one already."""
    facts = {"topics": list(topics), "written_at": at}
    reminder, made = Reminder.objects.get_or_create(person=person, on=on, defaults=facts)
    return reminder if made else None


@transaction.atomic
def mark_sent(*, reminder: Reminder, at: datetime) -> None:
    """Note that a reminder has left."""
    reminder.sent_at = at
    reminder.save(update_fields=["sent_at"])
