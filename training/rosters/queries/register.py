"""An employer's people as a roster is compared with them, and what a kept roster would do to them."""

import hashlib
import json
from collections import defaultdict
from dataclasses import asdict
from datetime import date

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db.models import Q

from training.people.models import Crew, CrewMembership, Employer, Person, RoleHeld
from training.people.rules import Role, roles_to_change
from training.rosters import rules
from training.rosters.models import Roster
from training.rosters.rules import Kept, Known, Plan, Register, Request, Spell
from training.tables.rules import Row


def register_of(employer: Employer, *, by: Person, on: date) -> Register:
    """Return everyone of an employer with the times that are not over: five queries at any size."""
    kept = set(roles_to_change(of_the_body=by.employer.is_body))
    not_over = Q(until_on=None) | Q(until_on__gte=on)
    roles: dict[int, set[Role]] = defaultdict(set)
    spells: dict[int, list[Spell]] = defaultdict(list)
    for held in RoleHeld.objects.filter(not_over, person__employer=employer).order_by("pk"):
        roles[held.person_id].add(Role(held.role))
        if held.role == Role.CREW:
            spells[held.person_id].append(Spell(Kept.ROLE, held.pk, 0, held.from_on, held.until_on))
    for time in CrewMembership.objects.filter(not_over, person__employer=employer).order_by("pk"):
        spells[time.person_id].append(Spell(Kept.CREW, time.pk, time.crew_id, time.from_on, time.until_on))
    people = tuple(
        Known(
            pk=person.pk,
            name=person.name,
            username=person.username,
            number=person.number,
            email=person.email,
            spells=tuple(spells[person.pk]),
            other_role=bool(roles[person.pk] - {Role.CREW}),
            is_active=person.is_active,
            kept=roles[person.pk] <= kept,
        )
        for person in Person.objects.filter(employer=employer).order_by("name", "pk")
    )
    rows = Crew.objects.filter(employer=employer, is_used=True).values_list("pk", "name", "site__name")
    crews, sites = {rules.tidy(name): pk for pk, name, _site in rows}, {pk: site for pk, _name, site in rows if site}
    return Register(people, crews, frozenset(Person.objects.values_list("username", flat=True)), sites)


def is_mail(text: str) -> bool:
    """Say whether a text can be an address."""
    try:
        validate_email(text)
    except ValidationError:
        return False
    return True


def planned(roster: Roster, register: Register, *, on: date) -> Plan:
    """Say what a kept roster would do now."""
    first, *rows = (Row(line, tuple(cells)) for line, cells in roster.rows)
    heads = rules.heads(first.cells)
    read = [rules.line_of(row, heads, is_mail=is_mail) for row in rows]
    return rules.plan(
        Request(
            lines=[line for line, wrong in read if not wrong],
            on=on,
            answers={int(line): person for line, person in roster.answers.items()},
            is_everyone=roster.is_everyone,
            wrong=tuple(flaw for _line, wrong in read for flaw in wrong),
        ),
        register,
    )


def fingerprint(plan: Plan) -> str:
    """Return a mark of what a plan does: what was seen is what is applied."""
    text = json.dumps([asdict(change) for change in plan.changes], default=str)
    return hashlib.sha256(text.encode()).hexdigest()
