"""Reading people, their roles and their crews."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from functools import reduce
from operator import and_, or_

from axes.models import AccessFailureLog
from django.core.paginator import Page, Paginator
from django.db.models import Count, Prefetch, Q, QuerySet
from django.db.models.functions import Lower

from training.people import rules
from training.people.models import ROLE_WORDS, Crew, CrewMembership, Dated, Employer, Person, RoleHeld, Site
from training.people.rules import Role

PER_PAGE = 50


def roles_on(person: Person, *, on: date) -> frozenset[Role]:
    """Return the roles a person holds on a day."""
    held = person.roles_held.in_force_on(on).values_list("role", flat=True)
    return frozenset(Role(role) for role in held)


def named_at_sign_in(username: str) -> Person | None:
    """Return whose user name was typed, in whatever letters."""
    return Person.objects.filter(username__iexact=username).first()


def failures_in_a_row(person: Person) -> int:
    """Count the wrong passwords and codes for a person since they last signed in."""
    failures = AccessFailureLog.objects.filter(username=rules.counted_as(person.username))
    return (failures.filter(attempt_time__gt=person.last_login) if person.last_login else failures).count()


def shut_out(people: QuerySet[Person]) -> list[Person]:
    """Return who of these has failed too often in a row to try again, by name."""
    often = AccessFailureLog.objects.values("username").annotate(count=Count("pk"))
    names = [row["username"] for row in often.filter(count__gte=rules.FAILURES_IN_A_ROW)]
    tried = people.annotate(small=Lower("username")).filter(small__in=names).select_related("employer")
    return [person for person in tried.order_by("name", "pk") if rules.too_many_failures(failures_in_a_row(person))]


def administrators_of_the_body(*, on: date) -> QuerySet[Person]:
    """Return those who administer for the certification body on a day and may sign in."""
    held = RoleHeld.objects.in_force_on(on).filter(role=Role.ADMINISTRATOR)
    return Person.objects.filter(pk__in=held.values("person"), employer__is_body=True, is_active=True).order_by("pk")


def named(
    people: QuerySet[Person], text: str, *, or_else: Q | None = None, forgiving: bool | None = None
) -> QuerySet[Person]:
    """Keep the people of whose names each word typed begins one; where there are none, one slip a word is forgiven.

    Accents, capitals and hyphens never matter. `or_else` keeps people as well who are found in another way.
    `forgiving` says whether slips are forgiven, where that is known: looking whether there are any is a walk through
    all names.
    """
    words = rules.folded(text).split()
    other = or_else or Q(pk__in=())
    if not words:
        return people.filter(other)
    exact = people.filter(reduce(and_, map(_begins, words)) | other)
    if forgiving is None:
        forgiving = not exact.exists()
    return people.filter(reduce(and_, map(_nearly, words))) if forgiving else exact


def _begins(word: str) -> Q:
    return Q(folded__contains=f" {word}")


def _nearly(word: str) -> Q:
    """Ask for a word with at most one slip. Any one leaves half of it whole, which is quicker to look for first."""
    patterns = rules.slips(word)
    if not patterns:
        return _begins(word)
    middle = len(word) // 2
    swapped = f"{word[: middle - 1]}{word[middle]}{word[middle - 1]}{word[middle + 1 :]}"
    halves = Q(folded__contains=f" {word[:middle]}") | Q(folded__contains=word[middle:]) | _begins(swapped)
    return _begins(word) | (halves & reduce(or_, (Q(folded__like=f"% {one}%") for one in patterns)))


@dataclass(frozen=True, slots=True)
class Row:
    """One person in the list."""

    pk: int
    name: str
    username: str
    employer: str
    roles: tuple[str, ...]
    crews: tuple[str, ...]
    is_active: bool


@dataclass(frozen=True, slots=True)
class Listing:
    """One page of the list of people."""

    rows: tuple[Row, ...]
    total: int
    page: Page  # type: ignore[type-arg]


def listing(people: QuerySet[Person], *, on: date, name: str = "", page: str = "") -> Listing:
    """List people by name with the roles and crews of a day, in four queries at any size."""
    if name:
        people = named(people, name, or_else=Q(username__icontains=name))
    people = people.select_related("employer").order_by("name", "pk")
    people = people.prefetch_related(
        Prefetch("roles_held", RoleHeld.objects.in_force_on(on).order_by("pk"), to_attr="roles_now"),
        Prefetch(
            "crew_memberships",
            CrewMembership.objects.in_force_on(on).select_related("crew").order_by("crew__name"),
            to_attr="crews_now",
        ),
    )
    shown = Paginator(people, PER_PAGE).get_page(page)
    return Listing(rows=tuple(_row(person) for person in shown), total=shown.paginator.count, page=shown)


def _row(person: Person) -> Row:
    return Row(
        pk=person.pk,
        name=person.name,
        username=person.username,
        employer=person.employer.name,
        roles=tuple(str(ROLE_WORDS[Role(held.role)]) for held in person.roles_now),  # type: ignore[attr-defined]
        crews=tuple(member.crew.name for member in person.crews_now),  # type: ignore[attr-defined]
        is_active=person.is_active,
    )


@dataclass(frozen=True, slots=True)
class Spell:
    """A role held or a time in a crew, with its days."""

    what: str
    from_on: date
    until_on: date | None
    is_now: bool


@dataclass(frozen=True, slots=True)
class Sheet:
    """A person's account as an administrator sees it."""

    pk: int
    name: str
    username: str
    email: str
    number: str
    employer: str
    is_active: bool
    has_password: bool
    roles: tuple[Spell, ...]
    crews: tuple[Spell, ...]


def link_until(person: Person, *, at: datetime) -> datetime | None:
    """Return until when an open link leads a person to a password; none where there is none."""
    link = person.invitations.open().first()
    return rules.link_ends(link.made_at) if link and link.is_good(at=at) else None


def sheet(person: Person, *, on: date) -> Sheet:
    """Gather a person's account with every role and crew, newest first, in two queries."""
    roles = person.roles_held.order_by("-from_on", "-pk")
    crews = person.crew_memberships.select_related("crew").order_by("-from_on", "-pk")
    return Sheet(
        pk=person.pk,
        name=person.name,
        username=person.username,
        email=person.email,
        number=person.number,
        employer=person.employer.name,
        is_active=person.is_active,
        has_password=person.has_usable_password(),
        roles=tuple(_spell(held, str(ROLE_WORDS[Role(held.role)]), on) for held in roles),
        crews=tuple(_spell(member, member.crew.name, on) for member in crews),
    )


def _spell(row: Dated, what: str, on: date) -> Spell:
    return Spell(what, row.from_on, row.until_on, rules.in_force(row.from_on, row.until_on, on=on))


def roles_not_over(person: Person, *, on: date) -> QuerySet[RoleHeld]:
    """Return the roles of a person that hold now or later, and so can be given a last day."""
    return person.roles_held.filter(Q(until_on=None) | Q(until_on__gte=on)).order_by("from_on", "pk")


def crews_not_over(person: Person, *, on: date) -> QuerySet[CrewMembership]:
    """Return a person's times in crews that hold now or later."""
    rows = person.crew_memberships.filter(Q(until_on=None) | Q(until_on__gte=on))
    return rows.select_related("crew").order_by("from_on", "pk")


def crews_open_to(person: Person) -> QuerySet[Crew]:
    """Return the crews of a person's employer that are in use."""
    return Crew.objects.filter(employer_id=person.employer_id, is_used=True).order_by("name")


def people_in(crew: Crew, *, on: date) -> QuerySet[Person]:
    """Return who is in a crew on a day or later, by name."""
    rows = crew.memberships.filter(Q(until_on=None) | Q(until_on__gte=on))
    return Person.objects.filter(pk__in=rows.values("person")).order_by("name", "pk")


def crews_from(site: Site) -> QuerySet[Crew]:
    """Return the crews in use that go out from a site, by name."""
    return site.crews.filter(is_used=True).order_by("name")


@dataclass(frozen=True, slots=True)
class Place:
    """A site with the crews that go out from it; no site for crews of none."""

    site: Site | None
    crews: tuple[Crew, ...]


@dataclass(frozen=True, slots=True)
class EmployerRow:
    """An employer with its crews by site, sites without a crew among them."""

    employer: Employer
    places: tuple[Place, ...]


def employers(seen: QuerySet[Employer]) -> tuple[EmployerRow, ...]:
    """Return these employers with their sites and crews: three queries."""
    rows = seen.prefetch_related(
        Prefetch("sites", Site.objects.order_by("name")), Prefetch("crews", Crew.objects.order_by("name"))
    ).order_by("name")
    return tuple(EmployerRow(row, _places(row)) for row in rows)


def _places(employer: Employer) -> tuple[Place, ...]:
    """Return each site with its crews, last those of no site."""
    crews: dict[int | None, list[Crew]] = defaultdict(list)
    for crew in employer.crews.all():
        crews[crew.site_id].append(crew)
    placed = [Place(site, tuple(crews[site.pk])) for site in employer.sites.all()]
    return (*placed, Place(None, tuple(crews[None]))) if crews[None] else tuple(placed)
