"""The list of procedures, and which of them a reader has still to read."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from training.bank.queries import newest
from training.content.demands import Demand, Overdue
from training.people.models import Person
from training.people.rules import local_day
from training.procedures import rules
from training.procedures.models import Reading, Revision
from training.procedures.queries.holds import given_to
from training.procedures.rules import Hold, Standing


@dataclass(frozen=True, slots=True)
class Line:
    """One module in the list, and where the reader stands with it."""

    slug: str
    title: str
    purpose: str
    number: int
    standing: Standing
    read_on: date | None
    answered: int
    asked: int

    @property
    def is_read(self) -> bool:
        """Whether the revision in force has been read."""
        return self.standing is Standing.READ

    @property
    def is_changed(self) -> bool:
        """Whether an older revision has been read, but not the one in force."""
        return self.standing is Standing.CHANGED


def in_force() -> QuerySet[Revision]:
    """Return the newest revision of each module in use, in teaching order."""
    newest = Revision.objects.filter(module=OuterRef("module")).order_by("-number").values("pk")[:1]
    return (
        Revision.objects.filter(module__retired_at=None, pk=Subquery(newest))
        .select_related("module")
        .order_by("order", "module__slug")
    )


def topics() -> list[tuple[str, str]]:
    """Return the modules in use by slug, in teaching order: one query."""
    return [(one.module.slug, one.title) for one in in_force()]


def _last_readings(people: Collection[int]) -> dict[tuple[int, int], Reading]:
    """Return the reading of the newest revision each person has read, by person and module."""
    readings = Reading.objects.filter(person__in=people).select_related("revision").order_by("revision__number")
    return {(reading.person_id, reading.revision.module_id): reading for reading in readings.defer("revision__body")}


def index(person: Person) -> list[Line]:
    """List the modules in use for one reader, in four queries."""
    last, zone, revisions = _last_readings([person.pk]), ZoneInfo(person.employer.zone), list(in_force())
    usable = newest({ask.key for revision in revisions for ask in rules.asks(revision.body)})
    given = given_to([revision.module for revision in revisions], person=person)
    return [
        _line(
            revision,
            last.get((person.pk, revision.module_id)),
            zone,
            rules.holds(revision.body, given.get(revision.module_id, ()), in_use=usable),
        )
        for revision in revisions
    ]


def _line(revision: Revision, reading: Reading | None, zone: ZoneInfo, holds: Sequence[Hold]) -> Line:
    return Line(
        slug=revision.module.slug,
        title=revision.title,
        purpose=revision.body["purpose"],
        number=revision.number,
        standing=rules.standing(latest=revision.number, last_read=number_read(reading)),
        read_on=local_day(reading.read_at, zone) if reading else None,
        answered=sum(not hold.is_open for hold in holds),
        asked=len(holds),
    )


def number_read(reading: Reading | None) -> int | None:
    """Return the number of the revision that a reading is of."""
    return reading.revision.number if reading else None


def unread(person: Person, slugs: Iterable[str]) -> list[tuple[str, str, str]]:
    """Return (slug, title, why) of each named module whose revision in force this person has not read."""
    return unread_by([person.pk], slugs)[person.pk]


def unread_by(people: Collection[int], slugs: Iterable[str]) -> dict[int, list[tuple[str, str, str]]]:
    """Return what `unread` says, by person: two queries, however many there are."""
    revisions = list(in_force().filter(module__slug__in=list(slugs)).defer("body"))
    last = _last_readings(people)
    found: dict[int, list[tuple[str, str, str]]] = {person: [] for person in people}
    for person, theirs in found.items():
        for revision in revisions:
            reading = last.get((person, revision.module_id))
            state = rules.standing(latest=revision.number, last_read=number_read(reading))
            if state is not Standing.READ:
                theirs.append((revision.module.slug, revision.title, standing_words(state)))
    return found


def standing_words(state: Standing) -> str:
    """Return a standing in the reader's language."""
    words = {
        Standing.READ: _("read"),
        Standing.UNREAD: _("to read"),
        Standing.CHANGED: _("changed since it was read"),
    }
    return words[state]


def demand_words(revision: Revision) -> str:
    """Say what a revision asks of card holders, or nothing where it asks nothing."""
    if revision.due_on is None:
        return ""
    words = {
        (Demand.READ, Overdue.DUE): _(
            "Card holders read it by %(day)s. After that their cards are due until they have."
        ),
        (Demand.READ, Overdue.STOPS): _(
            "Card holders read it by %(day)s. After that their cards stop until they have."
        ),
        (Demand.ANSWER, Overdue.DUE): _(
            "Card holders read it and answer its questions by %(day)s. After that their cards are due until they have."
        ),
        (Demand.ANSWER, Overdue.STOPS): _(
            "Card holders read it and answer its questions by %(day)s. After that their cards stop until they have."
        ),
    }
    said = words[Demand(revision.demand), Overdue(revision.overdue)]
    return said % {"day": date_format(revision.due_on)}
