"""Who is asking, on which day, and whom they may see."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.utils.translation import gettext as _

from training.people import queries, rules
from training.people.models import Crew, Employer, Person, Site
from training.people.rules import Role


@dataclass(frozen=True, slots=True)
class Viewer:
    """A signed-in person at one moment, with the roles they hold on that local day."""

    person: Person
    roles: frozenset[Role]
    at: datetime
    on: date

    @property
    def across(self) -> bool:
        """Whether this person works across employers."""
        return rules.sees_every_employer(self.roles, of_the_body=self.person.employer.is_body)

    def has(self, *roles: Role) -> bool:
        """Say whether the person holds any of these roles."""
        return bool(self.roles & set(roles))

    def require(self, *roles: Role) -> "Viewer":
        """Return the viewer when they hold one of these roles, else raise PermissionDenied (403)."""
        if not self.has(*roles):
            raise PermissionDenied(_("Your role does not include this page."))
        return self


def viewer_for(request: HttpRequest, *, at: datetime) -> Viewer:
    """Say who is asking; the day is the local one of their employer.

    A page and the links above it ask both: the roles of the day are read once a request.
    """
    person = cast(Person, request.user)
    on = rules.local_day(at, ZoneInfo(person.employer.zone))
    read: dict[tuple[int, date], frozenset[Role]] = request.__dict__.setdefault("roles_read", {})
    if (person.pk, on) not in read:
        read[person.pk, on] = queries.roles_on(person, on=on)
    return Viewer(person, read[person.pk, on], at, on)


def people_seen_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose records this viewer may open."""
    if viewer.across:
        return Person.objects.all()
    if rules.sees_colleagues(viewer.roles):
        return Person.objects.filter(employer_id=viewer.person.employer_id)
    return Person.objects.filter(pk=viewer.person.pk)


def person_for(viewer: Viewer, pk: int) -> Person:
    """Load a person the viewer may see, else raise 404: a stranger's name is not confirmed."""
    person = people_seen_by(viewer).select_related("employer").filter(pk=pk).first()
    if person is None:
        raise Http404
    return person


def crews_seen_by(viewer: Viewer) -> QuerySet[Crew]:
    """Return the crews this viewer may choose from."""
    crews = Crew.objects.select_related("employer").order_by("employer__name", "name")
    return crews if viewer.across else crews.filter(employer_id=viewer.person.employer_id)


def sites_seen_by(viewer: Viewer) -> QuerySet[Site]:
    """Return the sites this viewer may choose from."""
    sites = Site.objects.select_related("employer").order_by("employer__name", "name")
    return sites if viewer.across else sites.filter(employer_id=viewer.person.employer_id)


def employers_seen_by(viewer: Viewer) -> QuerySet[Employer]:
    """Return the employers this viewer may choose from."""
    employers = Employer.objects.order_by("name")
    return employers if viewer.across else employers.filter(pk=viewer.person.employer_id)


def people_administered_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose accounts this viewer keeps, else raise PermissionDenied (403)."""
    return people_seen_by(viewer.require(Role.ADMINISTRATOR))


def person_administered_by(viewer: Viewer, pk: int) -> Person:
    """Load a person whose account this viewer keeps; 403 without the role, 404 for a stranger."""
    return person_for(viewer.require(Role.ADMINISTRATOR), pk)
