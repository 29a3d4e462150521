"""Where accepted plans send a person next: told on their home page, since nobody else tells them."""

from collections import defaultdict
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from django.db.models import F
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from certs.crewing.models import Plan, PlanTurn
from certs.crewing.queries.inputs import RULES, inputs_of, turns_of
from certs.crewing.queries.page import titles
from certs.crewing.rules import COVER, check
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
class Broken:
    """An accepted plan that breaks rules as things stand now, on so many turns of today or later."""

    plan: str
    first: date
    last: date
    number: int


@dataclass(frozen=True, slots=True)
class OnHome:
    """The next days a person is placed at jobs; `plans` says that they may open the jobs.

    `broken` are plans that whoever keeps them has to change.
    """

    template: ClassVar[str] = "certs/crewing/home.html"
    spells: tuple[Spell, ...]
    plans: bool
    broken: tuple[Broken, ...] = ()


def on_home(person: Person, roles: AbstractSet[Role], *, on: date) -> OnHome | None:
    """Return where accepted plans place a person from a day on, or None where they do not: one query, or three.

    A plan of an employer whom the person has left sends them nowhere. Supervisors are told which plans do not hold any
    more, which takes a dozen queries for each accepted plan that is not over.
    """
    turns = PlanTurn.objects.filter(person=person, on__gte=on, plan__accepted_at__isnull=False, job__closed_at=None)
    turns = turns.filter(plan__employer=person.employer_id, job__first_on__lte=F("on"), job__last_on__gte=F("on"))
    found: dict[tuple[int, str, str, str], list[date]] = defaultdict(list)
    for day, *where in turns.order_by("on").values_list("on", "job", "job__reference", "job__place", "scheme"):
        found[tuple(where)].append(day)
    broken = _broken(person, on=on) if Role.SUPERVISOR in roles else ()
    if not found and not broken:
        return None
    names = titles()
    spells = sorted((first, last, where) for where, days in found.items() for first, last in ranges(days))
    told = tuple(
        Spell(_words(first, last), job, reference, place, _("Supervisor") if scheme == COVER else names.get(scheme, ""))
        for first, last, (job, reference, place, scheme) in spells[:LISTED]
    )
    return OnHome(told, bool(roles & {Role.SUPERVISOR, Role.ADMINISTRATOR}), broken)


def _broken(person: Person, *, on: date) -> tuple[Broken, ...]:
    plans = Plan.objects.filter(employer=person.employer_id, accepted_at__isnull=False, last_on__gte=on)
    found = []
    for plan in plans.select_related("employer").order_by("first_on"):
        known = inputs_of(plan)
        # A job that is closed, done or called off, needs nobody any more.
        faults = [one for one in check(turns_of(plan), known.jobs, known.hands, rules=RULES) if one.job in known.called]
        if number := len({(fault.day, fault.hand, fault.job) for fault in faults if fault.day >= on}):
            found.append(Broken(str(plan.pk), plan.first_on, plan.last_on, number))
    return tuple(found)


def _words(first: date, last: date) -> str:
    if first == last:
        return date_format(first, "D j M Y")
    return _("%(day)s to %(until)s") % {"day": date_format(first, "D j M"), "until": date_format(last, "D j M Y")}
