"""The people every test knows, with fixed relations.

Two employers beside the certification body. Ada, Ben and Sol work for Northmoor; Tess trains and Olga
assesses for the body; Max runs the site; Quin is a stranger: a crew member of another employer.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime

from allauth.account.internal.userkit import user_id_to_str
from django.test import Client
from django.utils import timezone

from training.people.models import Crew, CrewMembership, Employer, Person, RoleHeld
from training.people.rules import Role

PASSWORD = "a long pass phrase for tests"
AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
ON = date(2026, 11, 25)
START = date(2020, 1, 1)


@dataclass
class Cast:
    """Everyone, ready made."""

    body: Employer
    northmoor: Employer
    elsewhere: Employer
    ada: Person  # crew member
    ben: Person  # crew member of the same employer
    sol: Person  # supervisor of the same employer
    tess: Person  # trainer of the body
    olga: Person  # trainer of the body, assesses
    max: Person  # administrator of the body
    dora: Person  # administrator of the body who decides
    quin: Person  # crew member of another employer
    rex: Person  # supervisor of another employer
    crew: Crew
    clients: dict[str, Client] = field(default_factory=dict)

    def client(self, name: str) -> Client:
        """Return a client signed in as the person of that name; `nobody` is signed out."""
        if name not in self.clients:
            self.clients[name] = Client()
            if name != "nobody":
                self.clients[name].force_login(getattr(self, name))
        return self.clients[name]


def show_both_factors(client: Client, user: Person) -> None:
    """Let the sign-in of a client count as one with both factors."""
    session = client.session
    session["account_authentication_methods"] = [{"method": "mfa", "at": 0, "type": "totp"}]
    session["account_authentication_methods_user"] = user_id_to_str(user)
    # The first page of a session would write down when it began; tests that count queries need not know.
    now = timezone.now().timestamp()
    session["clock"] = (now, now)
    session.save()


def person(username: str, name: str, employer: Employer, *roles: Role) -> Person:
    """Make a person who holds these roles since long ago."""
    made = Person.objects.create_user(username, PASSWORD, name=name, email=f"{username}@example.org", employer=employer)
    for role in roles:
        RoleHeld.objects.create(person=made, role=role, from_on=START)
    return made


def assemble() -> Cast:
    """Save the whole cast."""
    zone = "Europe/London"
    body = Employer.objects.create(name="Certification body", slug="body", zone=zone, is_body=True)
    northmoor = Employer.objects.create(name="Northmoor Track", slug="northmoor", zone=zone)
    elsewhere = Employer.objects.create(name="Elsewhere Lines", slug="elsewhere", zone=zone)
    crew = Crew.objects.create(employer=northmoor, name="Gang 1")
    ada = person("ada", "Ada Crew", northmoor, Role.CREW)
    CrewMembership.objects.create(person=ada, crew=crew, from_on=START)
    return Cast(
        body=body,
        northmoor=northmoor,
        elsewhere=elsewhere,
        ada=ada,
        ben=person("ben", "Ben Crew", northmoor, Role.CREW),
        sol=person("sol", "Sol Supervisor", northmoor, Role.SUPERVISOR),
        tess=person("tess", "Tess Trainer", body, Role.TRAINER),
        olga=person("olga", "Olga Assessor", body, Role.TRAINER),
        max=person("max", "Max Administrator", body, Role.ADMINISTRATOR),
        dora=person("dora", "Dora Decider", body, Role.ADMINISTRATOR),
        quin=person("quin", "Quin Stranger", elsewhere, Role.CREW),
        rex=person("rex", "Rex Supervisor", elsewhere, Role.SUPERVISOR),
        crew=crew,
    )
