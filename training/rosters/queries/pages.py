"""What the pages of rosters show."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.people.models import Crew, CrewMembership, Employer, Person
from training.rosters import rules
from training.rosters.models import Roster
from training.rosters.queries import words
from training.rosters.queries.register import fingerprint, planned, register_of
from training.rosters.queries.undoing import InTheWay, in_the_way, undone_until
from training.rosters.rules import Change, Known, Plan, Register

SHOWN = 50


@dataclass(frozen=True, slots=True)
class Changed:
    """One person changed: the line of the file, 0 where the person is not in it."""

    line: int
    name: str
    says: str


@dataclass(frozen=True, slots=True)
class Group:
    """Changes of one kind."""

    title: str
    note: str
    rows: tuple[Changed, ...]


@dataclass(frozen=True, slots=True)
class Mend:
    """One thing to put right."""

    line: int
    column: str
    says: str


@dataclass(frozen=True, slots=True)
class Ask:
    """Whom a line means: the choices are the numbers of people, and 0 for somebody new."""

    line: int
    says: str
    choices: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Checked:
    """A roster before it is applied."""

    lines: int
    unread: tuple[str, ...]
    wrong: tuple[Mend, ...]
    asks: tuple[Ask, ...]
    groups: tuple[Group, ...]
    unchanged: int
    untouched: tuple[str, ...]
    ready: bool
    changes: int
    # How many leave because they are not in the file.
    missing: int
    seen: str


def checked(roster: Roster, *, by: Person, on: date) -> Checked:
    """Say what a roster would do now, in words."""
    register = register_of(roster.employer, by=by, on=on)
    plan = planned(roster, register, on=on)
    says = _teller(plan, register)
    return Checked(
        lines=len(roster.rows) - 1,
        unread=rules.heads(roster.rows[0][1]).unread,
        wrong=tuple(Mend(one.line, str(words.COLUMNS[one.column]), words.of_line(one)) for one in plan.wrong),
        asks=tuple(_ask(question, register, on) for question in plan.questions),
        groups=tuple(group for group in _groups(plan.changes, says) if group.rows),
        unchanged=plan.unchanged,
        untouched=tuple(known.name for known in plan.untouched),
        ready=plan.ready,
        changes=len(plan.changes),
        missing=sum(not change.line for change in plan.changes),
        seen=fingerprint(plan),
    )


def _teller(plan: Plan, register: Register) -> Callable[[Change], Changed]:
    people = Person.objects.in_bulk([change.person for change in plan.changes if change.person])
    crews = dict(Crew.objects.filter(pk__in=register.crews.values()).values_list("pk", "name"))
    spells = [pk for change in plan.changes for _table, pk, *_day in (*change.ends, *change.extends)]
    times = dict(CrewMembership.objects.filter(pk__in=spells).values_list("pk", "crew"))

    def told(change: Change) -> Changed:
        person = people.get(change.person or 0)
        name = person.name if person else change.name or ""
        return Changed(change.line, name, words.of_change(change, person, crews, times))

    return told


def _groups(changes: tuple[Change, ...], told: Callable[[Change], Changed]) -> list[Group]:
    kinds: list[tuple[str, str, Callable[[Change], bool]]] = [
        (
            _("New people"),
            _("They get no password: a list of who has no sign-in yet follows afterwards."),
            lambda one: one.person is None,
        ),
        (
            _("Leave"),
            _("Their records and cards stay. Without a last day in the file it was yesterday."),
            lambda one: one.leaves,
        ),
        (_("Come back"), "", lambda one: one.returns and one.person is not None),
        (
            _("Change crew"),
            _("From today on; the last day in the crew before is yesterday."),
            lambda one: one.moves,
        ),
        (_("Name, number or mail changed"), "", lambda one: one.renames),
    ]
    found: list[Group] = []
    left = list(changes)
    for title, note, belongs in kinds:
        found.append(Group(title, note, tuple(told(one) for one in left if belongs(one))))
        left = [one for one in left if not belongs(one)]
    return found


def _ask(question: rules.Question, register: Register, on: date) -> Ask:
    names = {pk: name for name, pk in register.crews.items()}
    line = question.line
    choices = [(known.pk, _told(known, names, on)) for known in question.people]
    if question.may_be_new:
        choices.append((0, _("No: somebody new")))
    facts = {"name": line.name, "number": line.number}
    if question.may_be_new:
        says = _("“%(name)s” is much like somebody on record. Is it the same person?") % facts
    elif not line.number:
        says = _("“%(name)s” is on record. Is it the same person? If not, give the new person a number in the file.")
        says %= facts
    else:
        says = _(
            "Number %(number)s is somebody of another name. Has the name changed to “%(name)s”? "
            "If not, correct the number in the file."
        )
        says %= facts
    return Ask(line.line, says, tuple(choices))


def _told(known: Known, crews: dict[int, str], on: date) -> str:
    parts = [known.name, *([_("number %(number)s") % {"number": known.number}] if known.number else [])]
    parts += sorted(crews[pk] for pk in known.crews(on) if pk in crews)
    return _("Yes: %(person)s") % {"person": ", ".join(parts)}


@dataclass(frozen=True, slots=True)
class Applied:
    """A roster that was applied."""

    counts: tuple[tuple[str, int], ...]
    undo_until: datetime | None
    in_the_way: tuple[InTheWay, ...]


def applied(roster: Roster, *, at: datetime) -> Applied:
    """Say what a roster did, and whether it can be undone."""
    until = undone_until(roster)
    open_still = until is not None and at <= until
    return Applied(_counted(roster), until if open_still else None, in_the_way(roster) if open_still else ())


def _counted(roster: Roster) -> tuple[tuple[str, int], ...]:
    names = {
        "added": _("New people"),
        "moved": _("Changed crew"),
        "renamed": _("Name, number or mail changed"),
        "returned": _("Came back"),
        "left": _("Left"),
        "unchanged": _("Without a change"),
    }
    return tuple((says, roster.counts.get(kind, 0)) for kind, says in names.items())


@dataclass(frozen=True, slots=True)
class Brought:
    """One roster in the list of those brought."""

    pk: object
    employer: str
    by: str
    at: datetime
    state: str


def brought(employers: QuerySet[Employer], *, at: datetime) -> tuple[Brought, ...]:
    """Return the latest rosters of these employers, the newest first."""
    rows = Roster.objects.filter(employer__in=employers).select_related("employer", "brought_by", "applied_by")
    fresh = rows.exclude(applied_at=None, brought_at__lt=at - timedelta(days=1)).order_by("-brought_at")[:SHOWN]
    return tuple(_brought(row) for row in fresh)


def _brought(row: Roster) -> Brought:
    if row.undone_at:
        state = _("undone")
    elif row.applied_at:
        changed = sum(number for kind, number in row.counts.items() if kind != "unchanged")
        state = ngettext("applied, %(number)d change", "applied, %(number)d changes", changed) % {"number": changed}
    else:
        state = _("checked, not applied")
    return Brought(row.pk, row.employer.name, (row.applied_by or row.brought_by).name, row.brought_at, state)


@dataclass(frozen=True, slots=True)
class Waiting:
    """Somebody who cannot sign in yet."""

    pk: int
    name: str
    username: str
    number: str
    email: str
    employer: str


def without_sign_in(people: QuerySet[Person]) -> tuple[Waiting, ...]:
    """Return the open accounts that have no password yet, by employer and name."""
    rows = people.filter(is_active=True, password__startswith=UNUSABLE_PASSWORD_PREFIX).select_related("employer")
    return tuple(
        Waiting(row.pk, row.name, row.username, row.number, row.email, row.employer.name)
        for row in rows.order_by("employer__name", "name", "pk")
    )
