"""Who gets a mail about refreshers on a day, and what it names."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from training.people.models import Person
from training.people.rules import local_day
from training.refreshers import rules
from training.refreshers.models import Reminder
from training.refreshers.queries.memories import Topic, reviews, standing, topics

BATCH = 400


@dataclass(frozen=True, slots=True)
class Letter:
    """A mail to write: to whom, on which local day, about what."""

    person: Person
    on: date
    topics: tuple[Topic, ...]


def letters(*, at: datetime) -> Iterator[Letter]:
    """Yield the mails to write to those who asked for them: two queries, and two more for each few hundred people."""
    wanted = Person.objects.filter(is_active=True, mail_choice__wanted=True).exclude(email="")
    everyone = list(wanted.select_related("employer").order_by("pk"))
    known = topics()
    for start in range(0, len(everyone), BATCH):
        yield from _letters(everyone[start : start + BATCH], known, at)


def _letters(people: list[Person], known: tuple[Topic, ...], at: datetime) -> Iterator[Letter]:
    every, named = reviews(people), _named(people, at)
    for person in people:
        on = local_day(at, ZoneInfo(person.employer.zone))
        done = every.get(person.pk, {})
        due = [one for one in known if standing(one, done.get(one.slug, ()), on=on).is_due]
        slugs = rules.to_mail([one.slug for one in due], named=named[person.pk])
        if slugs:
            yield Letter(person, on, tuple(due))


def _named(people: list[Person], at: datetime) -> dict[int, set[str]]:
    """Return the topics that each of these people was lately reminded of."""
    since = at - timedelta(days=rules.QUIET_DAYS)
    found: dict[int, set[str]] = defaultdict(set)
    for person, slugs in Reminder.objects.filter(person__in=people, written_at__gt=since).values_list(
        "person_id", "topics"
    ):
        found[person].update(slugs)
    return found
