"""A roster is applied: all of it in one transaction, or nothing."""

from datetime import date, datetime
from itertools import chain
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext_lazy as _

from training.ledger.operations import write
from training.people.models import CrewMembership, Employer, Person, RoleHeld
from training.people.operations.accounts import Refused, check_reach
from training.people.rules import Role, folded
from training.rosters.models import Roster
from training.rosters.queries import fingerprint, planned, register_of
from training.rosters.queries.undoing import TABLES
from training.rosters.rules import Change, Kept, Plan

Done = dict[str, Any]
FACTS = ("name", "number", "email")
# What a time was before, for one that the roster made.
MADE = "made"


class AlreadyApplied(Refused):
    """Somebody applied it before."""

    def __init__(self) -> None:
        super().__init__(_("This roster is applied already. Nothing was done a second time."))


class NotReady(Refused):
    """A line is wrong or a question open."""

    def __init__(self) -> None:
        super().__init__(_("Nothing was applied. Put right the lines named below first, or answer what is asked."))


class ChangedMeanwhile(Refused):
    """The register is not as it was when the page was made."""

    def __init__(self) -> None:
        super().__init__(
            _("Nothing was applied: the register was changed since you opened this page. Look it over again.")
        )


def apply(*, by: Person, roster: Roster, seen: str, on: date, at: datetime) -> Roster:
    """Do what the person saw, under `seen`, the fingerprint of it. Raises NotTheirs or one of the above."""
    try:
        with transaction.atomic():
            return _apply(by, roster, seen, on, at)
    except IntegrityError as fault:  # a user name was taken in this very moment, at another employer
        raise ChangedMeanwhile from fault


def _apply(by: Person, roster: Roster, seen: str, on: date, at: datetime) -> Roster:
    check_reach(by, roster.employer, on=on)
    lock(roster.employer)
    kept = Roster.objects.select_for_update(of=("self",)).select_related("employer").filter(pk=roster.pk).first()
    if kept is None or kept.applied_at is not None:
        raise AlreadyApplied
    plan = planned(kept, register_of(kept.employer, by=by, on=on), on=on)
    if not plan.ready:
        raise NotReady
    if fingerprint(plan) != seen:
        raise ChangedMeanwhile
    kept.done = [*_add(plan, kept.employer, on), *_alter(plan, on)]
    kept.counts = _counts(plan)
    kept.rows, kept.answers = [], {}
    kept.applied_by, kept.applied_at = by, at
    kept.save()
    about = {"roster": str(kept.pk), "employer": kept.employer_id, "file": kept.digest}
    people = {"added": [done["person"] for done in kept.done if done["new"]]}
    people["changed"] = [done["person"] for done in kept.done if not done["new"]]
    write(by=by.pk, act="roster applied", about=about | people, at=at)
    return kept


def lock(employer: Employer) -> None:
    """Let rosters of one employer, and changes to its people by hand, follow each other."""
    Employer.objects.select_for_update(no_key=True).get(pk=employer.pk)
    list(Person.objects.select_for_update(no_key=True).filter(employer=employer).order_by("pk").values_list("pk"))


def _counts(plan: Plan) -> dict[str, int]:
    kinds = {
        "added": [change.person is None for change in plan.changes],
        "moved": [change.moves for change in plan.changes],
        "renamed": [change.renames and change.person is not None for change in plan.changes],
        "returned": [change.returns and change.person is not None for change in plan.changes],
        "left": [change.leaves for change in plan.changes],
    }
    return {kind: sum(found) for kind, found in kinds.items()} | {"unchanged": plan.unchanged}


def _add(plan: Plan, employer: Employer, on: date) -> list[Done]:
    """Open the accounts of new people, without a way to sign in yet."""
    fresh = [change for change in plan.changes if change.person is None]
    people = [_person(change, employer) for change in fresh]
    Person.objects.bulk_create(people, batch_size=500)
    pairs = list(zip(fresh, people, strict=True))
    roles = [RoleHeld(person=person, role=Role.CREW, from_on=on, until_on=change.until_on) for change, person in pairs]
    crews = [
        CrewMembership(person=person, crew_id=crew, from_on=on, until_on=change.until_on)
        for change, person in pairs
        for crew in change.joins
    ]
    RoleHeld.objects.bulk_create(roles, batch_size=500)
    CrewMembership.objects.bulk_create(crews, batch_size=500)
    done = {person.pk: _done(person, new=True) for person in people}
    for row in chain(roles, crews):
        done[row.person_id]["times"].append(_made(row))
    return list(done.values())


def _person(change: Change, employer: Employer) -> Person:
    facts = {name: getattr(change, name) for name in FACTS}
    person = Person(username=change.username, employer=employer, **facts)
    person.set_unusable_password()
    person.folded = folded(person.name)  # as its own saving would
    return person


def _made(row: RoleHeld | CrewMembership) -> list[object]:
    table = Kept.CREW if isinstance(row, CrewMembership) else Kept.ROLE
    return [table, row.pk, MADE, row.until_on.isoformat() if row.until_on else None]


def _done(person: Person, *, new: bool) -> Done:
    became = {name: getattr(person, name) for name in FACTS} if new else {}
    return {"person": person.pk, "new": new, "was": {}, "became": became, "times": []}


def _alter(plan: Plan, on: date) -> list[Done]:
    """Change the people on record."""
    changes = [change for change in plan.changes if change.person is not None]
    people = Person.objects.in_bulk([change.person for change in changes])
    return [_altered(change, people[change.person], on) for change in changes if change.person]


def _altered(change: Change, person: Person, on: date) -> Done:
    done = _done(person, new=False)
    wanted = {name: getattr(change, name) for name in FACTS if getattr(change, name) is not None}
    if change.reopens or change.closes:
        wanted["is_active"] = change.reopens
    for name, value in wanted.items():
        done["was"][name], done["became"][name] = getattr(person, name), value
        setattr(person, name, value)
    if wanted:
        person.save(update_fields=list(wanted))
    times = [(table, pk, day) for table, pk, day in change.ends] + [(table, pk, None) for table, pk in change.extends]
    done["times"] += [_retimed(table, pk, day) for table, pk, day in times]
    crews = [CrewMembership.objects.create(person=person, crew_id=crew, from_on=on) for crew in change.joins]
    roles = [RoleHeld.objects.create(person=person, role=Role.CREW, from_on=on)] if change.gives_role else []
    done["times"] += [_made(row) for row in (*crews, *roles)]
    return done


def _retimed(table: Kept, pk: int, day: date | None) -> list[object]:
    row = TABLES[table].objects.get(pk=pk)
    was = row.until_on.isoformat() if row.until_on else None
    row.until_on = day
    row.save(update_fields=["until_on"])
    return [table, pk, was, day.isoformat() if day else None]
