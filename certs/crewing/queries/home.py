"""Where accepted plans send a person next: told on their home page, since nobody else tells them."""

from collections import defaultdict
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from django.db.models import F
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.crewing.models import PlanTurn
from certs.crewing.queries.page import titles
from certs.crewing.rules import COVER
from certs.jobs.rules import ranges
from training.people.models import Person
from training.people.rules import Role

# A list on the home page is a reminder.
LISTED = 5


@dataclass(frozen=True, slots=True)
class Spell:
    """Days on end at a job: which, where, and in which place."""

    days: str
    job: int
    reference: str
    place: str
    what: str


@dataclass(frozen=True, slots=True)
class OnHome:
    """The next days a person is placed at jobs; `plans` says that they may open the jobs."""

    template: ClassVar[str] = "certs/crewing/home.html"
    spells: tuple[Spell, ...]
    plans: bool


def on_home(person: Person, roles: AbstractSet[Role], *, on: date) -> OnHome | None:
    """Return where accepted plans place a person from a day on, or None where they do not: one query, or three.

    A plan of an employer whom the person has left sends them nowhere.
    """
    turns = PlanTurn.objects.filter(person=person, on__gte=on, plan__accepted_at__isnull=False, job__closed_at=None)
    turns = turns.filter(plan__employer=person.employer_id, job__first_on__lte=F("on"), job__last_on__gte=F("on"))
    found: dict[tuple[int, str, str, str], list[date]] = defaultdict(list)
    for day, *where in turns.order_by("on").values_list("on", "job", "job__reference", "job__place", "scheme"):
        found[tuple(where)].append(day)
    if not found:
        return None
    names = titles()
    spells = sorted((first, last, where) for where, days in found.items() for first, last in ranges(days))
    told = tuple(
        Spell(_words(first, last), job, reference, place, _("Supervisor") if scheme == COVER else names.get(scheme, ""))
        for first, last, (job, reference, place, scheme) in spells[:LISTED]
    )
    return OnHome(told, bool(roles & {Role.SUPERVISOR, Role.ADMINISTRATOR}))


def _words(first: date, last: date) -> str:
    if first == last:
        return date_format(first, "D j M Y")
    return _("%(day)s to %(until)s") % {"day": date_format(first, "D j M"), "until": date_format(last, "D j M Y")}
