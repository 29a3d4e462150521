"""What a person's passed papers, drills and confirmed work leave of each topic: computed, never stored."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import F, QuerySet, Value
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.people.models import Person
from training.people.rules import local_day
from training.procedures.queries import in_force
from training.quizzes.models import Sitting
from training.quizzes.queries import passed
from training.refreshers import rules
from training.refreshers.models import Drill, WorkDone
from training.refreshers.rules import Memory, Outcome, Review

COLUMNS = ("person_id", "about", "moment", "went")
A_WEEK, A_MONTH = 7, 30


@dataclass(frozen=True, slots=True)
class Topic:
    """A module in use, which is what a topic is called after."""

    slug: str
    title: str


@dataclass(frozen=True, slots=True)
class Refresher:
    """Where a person stands with one topic on a day; without a memory it has not begun."""

    topic: Topic
    memory: Memory | None
    on: date

    @property
    def is_due(self) -> bool:
        """Whether its day has come."""
        return self.memory is not None and self.memory.due_on <= self.on

    @property
    def words(self) -> str:
        """The next day in plain words."""
        return next_words(self.memory.due_on, on=self.on) if self.memory else _("not begun")


def topics() -> tuple[Topic, ...]:
    """Return the topics in teaching order, in one query."""
    return tuple(Topic(*facts) for facts in in_force().values_list("module__slug", "title"))


def reviews(people: Collection[Person]) -> Mapping[int, Mapping[str, list[Review]]]:
    """Return the reviews of these people by person and topic, oldest first, in one query.

    A passed paper calls each of its topics to mind, rightly as a whole; so does confirmed work.
    """
    zones = {person.pk: ZoneInfo(person.employer.zone) for person in people}
    drills = Drill.objects.filter(person__in=list(zones), answered_at__isnull=False)
    sat = passed(Sitting.objects.filter(person__in=list(zones), items__isnull=False))
    right = Value(Outcome.RIGHT.value)
    rows = drills.annotate(about=F("topic"), moment=F("answered_at"), went=F("outcome")).values_list(*COLUMNS)
    work = WorkDone.objects.filter(person__in=list(zones)).annotate(about=F("topic"), moment=F("at"), went=right)
    papers = sat.annotate(about=F("items__question_version__topic"), moment=F("handed_in_at"), went=right)
    # UNION keeps one row a paper and topic, however many questions there were.
    every = rows.union(work.values_list(*COLUMNS), papers.values_list(*COLUMNS))
    found: dict[int, dict[str, list[Review]]] = defaultdict(lambda: defaultdict(list))
    for person, topic, at, went in sorted(every, key=lambda row: row[2]):
        found[person][topic].append(Review(local_day(at, zones[person]), Outcome(went)))
    return found


def refreshers(person: Person, *, on: date) -> tuple[Refresher, ...]:
    """Return where a person stands with each topic in use, in two queries."""
    known = reviews([person]).get(person.pk, {})
    return tuple(standing(topic, known.get(topic.slug, ()), on=on) for topic in topics())


@dataclass(frozen=True, slots=True)
class Outlook:
    """A topic that has begun: the memory after each review, and those to come if each refresher is done on its day."""

    topic: Topic
    past: tuple[Memory, ...]
    ahead: tuple[Memory, ...]

    @property
    def every(self) -> tuple[Memory, ...]:
        """All of them, in the order of their days."""
        return self.past + self.ahead


def outlooks(person: Person, *, on: date, until: date) -> tuple[Outlook, ...]:
    """Return the plan of each topic that has begun, in two queries."""
    known = reviews([person]).get(person.pk, {})
    past = [(topic, rules.memories(known[topic.slug])) for topic in topics() if topic.slug in known]
    return tuple(Outlook(topic, made, rules.ahead(made[-1], on=on, until=until)) for topic, made in past)


def standing(topic: Topic, known: Collection[Review], *, on: date) -> Refresher:
    """Say where somebody with these reviews stands."""
    memories = rules.memories(known)
    return Refresher(topic, memories[-1] if memories else None, on)


def next_words(day: date, *, on: date) -> str:
    """Return a day to come as a person says it, with its date beside where it is far."""
    days = (day - on).days
    if days <= 0:
        return _("due now")
    if days == 1:
        return _("tomorrow")
    if days < 2 * A_WEEK:
        words, number = ngettext("in %(number)d day", "in %(number)d days", days), days
    elif days < 2 * A_MONTH:
        number = round(days / A_WEEK)
        words = ngettext("in about %(number)d week", "in about %(number)d weeks", number)
    else:
        number = round(days / A_MONTH)
        words = ngettext("in about %(number)d month", "in about %(number)d months", number)
    return _("%(span)s, on %(day)s") % {"span": words % {"number": number}, "day": date_format(day)}


def last_work(person: Person) -> QuerySet[WorkDone]:
    """Return a person's confirmed work, the newest first."""
    return WorkDone.objects.filter(person=person).order_by("-at")
