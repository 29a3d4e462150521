"""The questions of one drill: not opened, open, or answered and told."""

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from training.bank import rules as bank
from training.bank.models import QuestionVersion
from training.bank.queries import SheetQuestion, Told, newest, told
from training.people.models import Person
from training.people.rules import local_day
from training.questions import marking
from training.questions.item import Item
from training.questions.pools import pool_of
from training.refreshers import rules
from training.refreshers.models import Drill
from training.refreshers.queries.memories import Refresher, Topic, reviews, standing
from training.refreshers.rules import Outcome

# Drills looked back on when others are to be asked; more questions than that no topic holds for practice.
SHOWN = 60


@dataclass(frozen=True, slots=True)
class Sheet:
    """One person's page of a topic on a day; `drill` is 0 unless questions are open."""

    refresher: Refresher
    count: int
    drill: int
    questions: tuple[SheetQuestion, ...]
    outcome: Outcome | None
    wrong: tuple[Told, ...]
    right: tuple[Told, ...]

    @property
    def helped(self) -> bool:
        """Whether all was right, with help."""
        return self.outcome is Outcome.HELPED


def pool(topic: str, *, language: str) -> dict[str, QuestionVersion]:
    """Return the questions of a topic that may be asked in practice, by key, in two queries.

    They are in this language where there are any, else in the language there is.
    """
    keys = QuestionVersion.objects.filter(topic=topic).values_list("question__key", flat=True).distinct()
    versions = newest(list(keys))
    usable = {key: one for key, one in versions.items() if one.topic == topic and pool_of(one.body).for_practice}
    own = {key: one for key, one in usable.items() if one.body["language"] == language}
    return own or usable


def shown_before(person: Person, topic: str) -> list[str]:
    """Return the keys of the questions a person was last shown, the newest first."""
    drills = Drill.objects.filter(person=person, topic=topic).order_by("-opened_at")
    return [key for keys in drills.values_list("keys", flat=True)[:SHOWN] for key in keys]


def sheet(person: Person, topic: Topic, *, on: date) -> Sheet:
    """Gather the page in two queries; what is sealed stays behind until the questions are answered."""
    known = reviews([person]).get(person.pk, {}).get(topic.slug, ())
    refresher = standing(topic, known, on=on)
    last = Drill.objects.filter(person=person, topic=topic.slug).order_by("-opened_at").first()
    if last and last.answered_at is None and last.on == on:
        return _open(refresher, last)
    if last and last.answered_at and local_day(last.answered_at, ZoneInfo(person.employer.zone)) == on:
        marked = _marked(last)
        wrong, right = (tuple(one for one, good in marked if good is wanted) for wanted in (False, True))
        return Sheet(refresher, rules.QUESTIONS, 0, (), Outcome(last.outcome), wrong, right)
    return Sheet(refresher, rules.QUESTIONS, 0, (), None, (), ())


def opened(drill: Drill, topic: Topic, *, on: date) -> Sheet:
    """Return the page of questions that are being answered, without a query."""
    return _open(Refresher(topic, None, on), drill)


def _open(refresher: Refresher, drill: Drill) -> Sheet:
    shown = [one["shown"] for one in drill.asked]
    questions = tuple(SheetQuestion(place, one, {}) for place, one in enumerate(shown, start=1))
    return Sheet(refresher, len(questions), drill.pk, questions, None, (), ())


def _marked(drill: Drill) -> list[tuple[Told, bool]]:
    """Return the questions of an answered drill with their working, and whether each was right."""
    found = []
    for place, one in enumerate(drill.asked, start=1):
        given = bank.responses(drill.given.get(str(place), {}))
        marks = marking.mark(Item.from_json(one["shown"], one["sealed"]), given)
        found.append((told(one["shown"], one["sealed"], marks), all(mark.share == 1 for mark in marks)))
    return found
