"""Whom a board is about, told by the database: nobody is loaded to be left out."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

from certs.board.queries.words import value_of
from certs.cards.models import Card, Measure
from certs.cards.rules import Standing
from certs.schemes.models import Scheme
from training.people.models import Crew, CrewMembership, Employer, Person, RoleHeld
from training.people.queries import named
from training.people.rules import Role

# These come of a measure, and few cards have one: looked for from the measures, not person by person.
MEASURED = frozenset({Standing.SUSPENDED.value, Standing.WITHDRAWN.value, Standing.REPLACED.value})


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a board is asked; `standing` as `value_of` names it, `within` in days, both empty for all."""

    on: date
    today: date
    name: str = ""
    employer: Employer | None = None
    crew: Crew | None = None
    scheme: Scheme | None = None
    standing: str = ""
    within: int | None = None

    @property
    def narrowed(self) -> bool:
        """Whether a standing or a last day is asked for, so that not everyone counted is shown."""
        return bool(self.standing) or self.within is not None


def everyone(people: QuerySet[Person], asked: Asked) -> QuerySet[Person]:
    """Keep the crew members of the day who are asked about. A closed account still counts for days before today."""
    roles = RoleHeld.objects.in_force_on(asked.on).filter(person=OuterRef("pk"), role=Role.CREW)
    people = people.filter(Exists(roles))
    if asked.on >= asked.today:
        people = people.filter(is_active=True)
    if asked.employer is not None:
        people = people.filter(employer=asked.employer)
    if asked.crew is not None:
        members = CrewMembership.objects.in_force_on(asked.on).filter(crew=asked.crew)
        people = people.filter(pk__in=members.values("person"))
    return named(people, asked.name) if asked.name else people


def shown(people: QuerySet[Person], asked: Asked) -> QuerySet[Person]:
    """Keep, of everyone asked about, those with the standing and the last day asked for, on one and the same card."""
    if asked.standing == value_of(None):
        return people.filter(_without_card(asked)) if asked.within is None else people.none()
    if not asked.narrowed:
        return people
    cards = Card.objects.newest_on(asked.on)
    if asked.scheme is not None:
        cards = cards.filter(scheme=asked.scheme)
    if asked.within is not None:
        cards = cards.valid_on(asked.on).filter(last_day__lte=_days_on(asked.on, asked.within))
    if asked.standing:
        cards = cards.with_standing_on(asked.on).filter(standing=asked.standing)
    if asked.standing in MEASURED:
        taken = Measure.objects.filter(step=asked.standing, on__lte=asked.on)
        return people.filter(pk__in=cards.filter(pk__in=taken.values("card")).values("person"))
    return people.filter(Exists(cards.filter(person=OuterRef("pk"))))


def _without_card(asked: Asked) -> Exists | Q:
    """Ask for people who hold no card of the scheme asked for, or of any one scheme in use."""
    held = Card.objects.filter(valid_from__lte=asked.on)
    if asked.scheme is not None:
        return Q(~Exists(held.filter(person=OuterRef("pk"), scheme=asked.scheme)))
    held = held.filter(person=OuterRef(OuterRef("pk")), scheme=OuterRef("pk"))
    return Exists(Scheme.objects.filter(~Exists(held), retired_at=None, issues__isnull=False))


def _days_on(on: date, days: int) -> date:
    # No day of the calendar breaks the sum.
    return on + timedelta(days=min(days, (date.max - on).days))
