"""Asking a practice question and answering it. No ledger: nothing here decides anything."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from training.bank import rules as bank
from training.bank.operations import AskAgain, problems
from training.bank.queries import drawn
from training.people.models import Person
from training.practice import queries, rules
from training.practice.models import Practice
from training.questions.item import Item
from training.quizzes.operations import note_seen
from training.quizzes.queries import examined


class NotNow(Exception):
    """No question is asked now; the sentence says why."""


def ask(*, person: Person, topic: str, seed: str, at: datetime, on: date) -> Practice:
    """Draw a question of a subject for a person, or return the one that is open. Raises NotNow.

    What stands on an examination paper of the same local day is left out, and what is asked here is left out there.
    """
    with transaction.atomic():
        # The same turnstile as at the opening of a paper: of two taps at once the second finds the first one's row.
        Person.objects.select_for_update(no_key=True).get(pk=person.pk)
        if queries.paper_open(person):
            raise NotNow(_("You have an examination paper open. Hand it in first."))
        is_open = person.practice.filter(topic=topic, answered_at__isnull=True).first()
        if is_open is not None:
            return is_open
        if queries.asked_on(person, topic, on) >= rules.MOST_A_DAY:
            raise NotNow(_("That is enough of this subject for one day. Come back tomorrow, or take another."))
        pool = queries.pool(topic)
        key = rules.next_key(pool, queries.shown(person, topic), barred=examined(person, on=on), seed=seed)
        if key is None:
            raise NotNow(_("No question of this subject can be asked today."))
        # Kept as it was drawn; a key put right since is asked for when the answer is told.
        item = drawn(pool[key], seed=seed, known=())
        note_seen(person=person, questions=[pool[key].question], on=on)
        return Practice.objects.create(
            person=person,
            topic=topic,
            question_version=pool[key],
            shown=item.shown(),
            sealed=item.key(),
            asked_at=at,
        )


@transaction.atomic
def answer(*, practice: Practice, answers: Mapping[str, Any], at: datetime) -> Practice:
    """Take the answer of a practice question, once; an empty one shows the working. Raises NotNow or AskAgain."""
    if queries.paper_open(practice.person):
        raise NotNow(_("You have an examination paper open. Hand it in first."))
    live = Practice.objects.select_for_update().get(pk=practice.pk)
    if live.answered_at is not None:
        return live
    given = bank.tidy(live.shown["parts"], answers)
    unread = tuple(problems(1, Item.from_json(live.shown, live.sealed), given))
    if unread:
        raise AskAgain(unread)
    live.given, live.answered_at = given, max(at, live.asked_at)  # a server clock may be set back in between
    live.save(update_fields=["given", "answered_at"])
    return live
