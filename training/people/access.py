"""Who is asking, on which day, and whom they may see."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from allauth.account.authentication import AUTHENTICATION_METHODS_SESSION_KEY
from allauth.account.internal.flows.reauthentication import did_recently_reauthenticate
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.contrib.auth import authenticate
from django.core.exceptions import PermissionDenied
from django.core.signing import BadSignature, Signer
from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from training.people import queries, rules
from training.people.models import Crew, Employer, Invitation, Person, Site
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
    """Return the crews this viewer may ask about, those out of use as well."""
    crews = Crew.objects.select_related("employer").order_by("employer__name", "name")
    return crews if viewer.across else crews.filter(employer_id=viewer.person.employer_id)


def sites_seen_by(viewer: Viewer) -> QuerySet[Site]:
    """Return the sites this viewer may ask about, those out of use as well."""
    sites = Site.objects.select_related("employer").order_by("employer__name", "name")
    return sites if viewer.across else sites.filter(employer_id=viewer.person.employer_id)


def crews_offered_to(viewer: Viewer) -> QuerySet[Crew]:
    """Return the crews this viewer may choose for what is to come."""
    return crews_seen_by(viewer).filter(is_used=True)


def sites_offered_to(viewer: Viewer) -> QuerySet[Site]:
    """Return the sites this viewer may choose for what is to come."""
    return sites_seen_by(viewer).filter(is_used=True)


def employers_seen_by(viewer: Viewer) -> QuerySet[Employer]:
    """Return the employers this viewer may choose from."""
    employers = Employer.objects.order_by("name")
    return employers if viewer.across else employers.filter(pk=viewer.person.employer_id)


def crew_administered_by(viewer: Viewer, pk: int) -> Crew:
    """Load a crew this viewer keeps; 403 without the role, 404 for another employer's."""
    return get_object_or_404(crews_seen_by(viewer.require(Role.ADMINISTRATOR)).select_related("site"), pk=pk)


def site_administered_by(viewer: Viewer, pk: int) -> Site:
    """Load a site this viewer keeps; 403 without the role, 404 for another employer's."""
    return get_object_or_404(sites_seen_by(viewer.require(Role.ADMINISTRATOR)), pk=pk)


def employer_administered_by(viewer: Viewer, pk: int) -> Employer:
    """Load an employer, for an administrator of the body; 403 for anybody else."""
    if not viewer.require(Role.ADMINISTRATOR).across:
        raise PermissionDenied(_("Your role does not include this page."))
    return get_object_or_404(employers_seen_by(viewer), pk=pk)


def people_administered_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whose accounts this viewer keeps, else raise PermissionDenied (403)."""
    return people_seen_by(viewer.require(Role.ADMINISTRATOR))


def person_administered_by(viewer: Viewer, pk: int) -> Person:
    """Load a person whose account this viewer keeps; 403 without the role, 404 for a stranger."""
    return person_for(viewer.require(Role.ADMINISTRATOR), pk)


def own_session_for(viewer: Viewer, pk: int) -> UserSession:
    """Load a session of the viewer's own, else raise 404."""
    session = UserSession.objects.filter(pk=pk, user=viewer.person).first()
    if session is None:
        raise Http404
    return session


def _links() -> Signer:
    # The salt keeps a signature made for anything else from opening a door.
    return Signer(salt="training.people.invitation")


def secret_of(invitation: Invitation) -> str:
    """Return what stands in the address of a link: its number, signed."""
    return _links().sign(str(invitation.pk))


def invitation_for(secret: str, *, at: datetime) -> Invitation | None:
    """Load the link of an address while it is good; none for a forged, used, revoked or old one."""
    try:
        pk = int(_links().unsign(secret))
    except (BadSignature, ValueError):
        return None
    found = Invitation.objects.select_related("person").filter(pk=pk, person__is_active=True).first()
    return found if found is not None and found.is_good(at=at) else None


def people_let_in_by(viewer: Viewer) -> QuerySet[Person]:
    """Return the people whom this viewer may let try again: supervisors and administrators those they see; else 403."""
    return people_seen_by(viewer.require(Role.SUPERVISOR, Role.ADMINISTRATOR))


def shut_out_for(viewer: Viewer, pk: int) -> Person:
    """Load a person to let in again: 403 without the role, 404 for a stranger, oneself, and who is not shut out."""
    person = people_let_in_by(viewer).exclude(pk=viewer.person.pk).filter(pk=pk).first()
    if person is None or not rules.too_many_failures(queries.failures_in_a_row(person)):
        raise Http404
    return person


def is_their_password(request: HttpRequest, person: Person, password: str) -> bool:
    """Say whether this is a person's password; wrong ones are counted as at sign-in, and refused with them."""
    found = authenticate(request, username=person.username, password=password)
    return found is not None and found.pk == person.pk


def tried_too_often(request: HttpRequest) -> bool:
    """Say whether the last password was refused without being looked at."""
    return bool(getattr(request, "axes_locked_out", False))


@dataclass(frozen=True, slots=True)
class Proof:
    """How whoever signs shows that it is them: by what they showed lately, by a password, or by a passkey."""

    is_fresh: bool
    has_passkey: bool


def proof_of(request: HttpRequest) -> Proof:
    """Say what a signer still has to show; a proof lasts ACCOUNT_REAUTHENTICATION_TIMEOUT seconds."""
    passkeys = Authenticator.objects.filter(user_id=request.user.pk, type=Authenticator.Type.WEBAUTHN)
    return Proof(is_fresh=did_recently_reauthenticate(request), has_passkey=passkeys.exists())


def spend_proof(request: HttpRequest) -> None:
    """Use a proof up, so that the next thing signed asks anew."""
    records = request.session.get(AUTHENTICATION_METHODS_SESSION_KEY, [])
    plain = [{key: value for key, value in one.items() if key != "reauthenticated"} for one in records]
    request.session[AUTHENTICATION_METHODS_SESSION_KEY] = plain
