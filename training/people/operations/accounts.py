"""Opening and closing accounts, giving and ending roles, joining and leaving crews."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from allauth.usersessions.models import UserSession
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext_lazy as _

from training.ledger.operations import write
from training.people import rules
from training.people.models import Crew, CrewMembership, Employer, Person, RoleHeld
from training.people.operations.telling import tell
from training.people.queries import crews_not_over, roles_not_over, roles_on
from training.people.rules import Change, Role


class Refused(ValidationError):
    """The change is against the rules; the message says what to do."""


class NotTheirs(Refused):
    """The administrator does not keep this person's account."""

    def __init__(self) -> None:
        super().__init__(_("Ask the certification body: this is not among the people or roles you keep."))


class OwnRole(Refused):
    """An administrator would shut themself out."""

    def __init__(self) -> None:
        super().__init__(_("Ask another administrator: you cannot take away your own last administrator role."))


class AlreadyHeld(Refused):
    """The same role or crew is on record for some of these days."""

    def __init__(self) -> None:
        super().__init__({"from_on": _("This is already on record for some of these days. End the earlier one first.")})


class BackDated(Refused):
    """The change would rewrite what was in force on an earlier day; `field` is the day at fault."""

    def __init__(self, field: str) -> None:
        words = _("Choose a day that is not past: what held stays on record. Yesterday as the last day ends it now.")
        super().__init__({field: words})


class OtherEmployer(Refused):
    """A crew takes the people of its own employer only."""

    def __init__(self) -> None:
        super().__init__({"crew": _("Choose a crew of this person's own employer.")})


class NotUsed(Refused):
    """The crew or the site was put out of use; `kind` is the field it is chosen in."""

    def __init__(self, kind: str) -> None:
        super().__init__({kind: _("This is out of use since a moment ago. Choose another one.")})


class NotYet(Refused):
    """A role would go along that the new employer has not given."""

    def __init__(self) -> None:
        super().__init__(_("End the roles besides crew member first: what they open would change with the employer."))


def check_reach(by: Person, employer: Employer, *, on: date) -> None:
    """Refuse whoever does not keep the accounts of this employer's people."""
    same = by.employer_id == employer.pk
    if not rules.administers(roles_on(by, on=on), of_the_body=by.employer.is_body, same_employer=same):
        raise NotTheirs


def _check_role(by: Person, *roles: Role) -> None:
    """Refuse a role that only the certification body gives or ends."""
    if not set(roles) <= set(rules.roles_to_change(of_the_body=by.employer.is_body)):
        raise NotTheirs


def check_account(by: Person, person: Person, *, on: date) -> None:
    """Refuse an account that carries a role, now or later, which this administrator could not end."""
    check_reach(by, person.employer, on=on)
    _check_role(by, *(Role(held.role) for held in roles_not_over(person, on=on)))


def lock(person: Person) -> Person:
    """Let changes to one person follow each other, so that two administrators cannot both find the days free."""
    return Person.objects.select_for_update().get(pk=person.pk)


def end_sessions(person: Person) -> None:
    """Sign a person out everywhere: what they may do has changed."""
    Person.objects.filter(pk=person.pk).update(sessions_ended=F("sessions_ended") + 1)
    person.refresh_from_db(fields=["sessions_ended"])


def _sign_out(person: Person, *, at: datetime) -> None:
    """End the sessions of a person whose roles or account somebody changed, and tell them if there were any."""
    open_ones = UserSession.objects.purge_and_list(person)
    end_sessions(person)
    if open_ones:
        tell(person, Change.SIGNED_OUT, at=at)


def _enter(by: Person, act: str, person: Person, at: datetime, **more: object) -> None:
    about: Mapping[str, object] = {"person": person.pk, **more}
    write(by=by.pk, act=act, about=about, at=at)


@transaction.atomic
def add_person(
    *,
    by: Person,
    name: str,
    username: str,
    email: str,
    employer: Employer,
    role: Role,
    crew: Crew | None,
    on: date,
    at: datetime,
    number: str = "",
) -> Person:
    """Open an account with a role from today. It has no password: a sign-in link leads to the first."""
    check_reach(by, employer, on=on)
    person = Person(name=name, username=username, email=email, employer=employer, number=number)
    person.set_unusable_password()
    person.full_clean()
    person.save()
    _enter(by, "person added", person, at, employer=employer.pk)
    give_role(by=by, person=person, role=role, from_on=on, until_on=None, on=on, at=at)
    if crew is not None:
        join_crew(by=by, person=person, crew=crew, from_on=on, until_on=None, on=on, at=at)
    return person


@transaction.atomic
def give_role(
    *, by: Person, person: Person, role: Role, from_on: date, until_on: date | None, on: date, at: datetime
) -> RoleHeld:
    """Give a person a role from a day, today at the earliest."""
    check_reach(by, person.employer, on=on)
    _check_role(by, role)
    lock(person)
    if from_on < on:
        raise BackDated("from_on")
    held = person.roles_held.filter(role=role).values_list("from_on", "until_on")
    if any(rules.overlap(from_on, until_on, *days) for days in held):
        raise AlreadyHeld
    row = RoleHeld(person=person, role=role, from_on=from_on, until_on=until_on)
    row.full_clean()
    row.save()
    _sign_out(person, at=at)
    _enter(by, "role given", person, at, role_held=row.pk, role=role)
    return row


@transaction.atomic
def end_role(*, by: Person, person: Person, held: RoleHeld, until_on: date, on: date, at: datetime) -> RoleHeld:
    """Set the last day of a role."""
    check_reach(by, person.employer, on=on)
    _check_role(by, Role(held.role))
    lock(person)
    if rules.ends_too_early(until_on, on=on):
        raise BackDated("until_on")
    if by.pk == person.pk and held.role == Role.ADMINISTRATOR:
        others = person.roles_held.filter(role=Role.ADMINISTRATOR).exclude(pk=held.pk)
        if not rules.still_held(until_on, others.values_list("from_on", "until_on")):
            raise OwnRole
    held.until_on = until_on
    held.full_clean()
    held.save(update_fields=["until_on"])
    _sign_out(person, at=at)
    _enter(by, "role ended", person, at, role_held=held.pk, role=held.role)
    return held


@transaction.atomic
def join_crew(
    *, by: Person, person: Person, crew: Crew, from_on: date, until_on: date | None, on: date, at: datetime
) -> CrewMembership:
    """Put a person into a crew of their employer."""
    check_reach(by, person.employer, on=on)
    lock(person)
    if crew.employer_id != person.employer_id:
        raise OtherEmployer
    if not Crew.objects.select_for_update().get(pk=crew.pk).is_used:
        raise NotUsed("crew")
    times = person.crew_memberships.filter(crew=crew).values_list("from_on", "until_on")
    if any(rules.overlap(from_on, until_on, *days) for days in times):
        raise AlreadyHeld
    row = CrewMembership(person=person, crew=crew, from_on=from_on, until_on=until_on)
    row.full_clean()
    row.save()
    _enter(by, "crew joined", person, at, membership=row.pk, crew=crew.pk)
    return row


@transaction.atomic
def leave_crew(
    *, by: Person, person: Person, membership: CrewMembership, until_on: date, on: date, at: datetime
) -> CrewMembership:
    """Set a person's last day in a crew."""
    check_reach(by, person.employer, on=on)
    membership.until_on = until_on
    membership.full_clean()
    membership.save(update_fields=["until_on"])
    _enter(by, "crew left", person, at, membership=membership.pk, crew=membership.crew_id)
    return membership


@transaction.atomic
def move(*, by: Person, person: Person, employer: Employer, number: str, on: date, at: datetime) -> Person:
    """Put a person on the books of another employer, from now on, with the number there if any.

    The supervisors of the one before see them no longer, those of the new one do; times in its crews end yesterday.
    Raises NotTheirs, NotYet.
    """
    person = lock(person)
    before = person.employer
    for kept in (before, employer):
        check_reach(by, kept, on=on)
    if {Role(held.role) for held in roles_not_over(person, on=on)} - {Role.CREW}:
        raise NotYet
    for time in crews_not_over(person, on=on):
        last = max(time.from_on, on - timedelta(days=1))
        leave_crew(by=by, person=person, membership=time, until_on=last, on=on, at=at)
    person.employer, person.number = employer, number
    person.full_clean()
    person.save(update_fields=["employer", "number"])
    _sign_out(person, at=at)
    _enter(by, "person moved", person, at, before=before.pk, employer=employer.pk)
    return person


@transaction.atomic
def put_right(*, by: Person, person: Person, name: str, number: str, email: str, on: date, at: datetime) -> Person:
    """Correct the name, the number or the address of a person; the ledger says which, and not what they were or are."""
    check_account(by, person, on=on)
    person = lock(person)
    facts = {"name": name, "number": number, "email": email}
    changed = [field for field, value in facts.items() if getattr(person, field) != value]
    if changed:
        for field in changed:
            setattr(person, field, facts[field])
        person.full_clean()
        person.save(update_fields=changed)
        _enter(by, "person put right", person, at, fields=changed)
    return person


@transaction.atomic
def close_account(*, by: Person, person: Person, on: date, at: datetime) -> Person:
    """Stop a person from signing in, at once; their records stay."""
    check_account(by, person, on=on)
    if by.pk == person.pk:
        raise OwnRole
    return _set_active(by, person, is_active=False, act="account closed", at=at)


@transaction.atomic
def open_account(*, by: Person, person: Person, on: date, at: datetime) -> Person:
    """Let a person sign in again."""
    check_account(by, person, on=on)
    return _set_active(by, person, is_active=True, act="account opened", at=at)


def _set_active(by: Person, person: Person, *, is_active: bool, act: str, at: datetime) -> Person:
    if person.is_active is not is_active:
        person.is_active = is_active
        person.save(update_fields=["is_active"])
        _sign_out(person, at=at)
        _enter(by, act, person, at)
    return person


@transaction.atomic
def choose_language(*, by: Person, person: Person, language: str, on: date, at: datetime) -> Person:
    """Set the language of cards and mails, one's own or as an administrator. No ledger: nothing is decided."""
    if by.pk != person.pk:
        check_reach(by, person.employer, on=on)
    person.language = language
    person.full_clean()
    person.save(update_fields=["language"])
    return person
