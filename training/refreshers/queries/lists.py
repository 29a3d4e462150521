"""The page of a person's refreshers, and what the home page says about them."""

from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from training.people.models import Person
from training.people.rules import local_day
from training.refreshers import rules
from training.refreshers.models import MailChoice
from training.refreshers.queries.memories import Refresher, last_work, refreshers


@dataclass(frozen=True, slots=True)
class Page:
    """What is due, what comes next, what has not begun; the days for the hand; and the choice about mail."""

    due: tuple[Refresher, ...]
    later: tuple[Refresher, ...]
    fresh: tuple[Refresher, ...]
    hand_days: int
    worked_on: date | None
    mail_wanted: bool
    email: str


def page(person: Person, *, on: date) -> Page:
    """Gather the page in four queries."""
    every = refreshers(person, on=on)
    later = [one for one in every if one.memory and not one.is_due]
    work = last_work(person).first()
    return Page(
        due=_due(every),
        later=tuple(sorted(later, key=lambda one: one.memory.due_on)),
        fresh=tuple(one for one in every if one.memory is None),
        hand_days=rules.hand_days(),
        worked_on=local_day(work.at, ZoneInfo(person.employer.zone)) if work else None,
        mail_wanted=MailChoice.objects.filter(person=person, wanted=True).exists(),
        email=person.email,
    )


def due(person: Person, *, on: date) -> tuple[Refresher, ...]:
    """Return the refreshers whose day has come, the longest overdue first, in two queries."""
    return _due(refreshers(person, on=on))


def _due(every: tuple[Refresher, ...]) -> tuple[Refresher, ...]:
    return tuple(sorted((one for one in every if one.is_due), key=lambda one: one.memory.due_on))
