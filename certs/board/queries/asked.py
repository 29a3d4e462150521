"""Whom a board is about, told by the database: nobody is loaded to be left out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db.models import BooleanField, Case, DateField, Exists, OuterRef, Q, QuerySet, Value, When

from certs.board.queries.words import value_of
from certs.cards.models import Card, Measure, there_is
from certs.cards.rules import Standing
from certs.schemes.models import Scheme
from training.content.demands import Overdue
from training.people.models import Crew, CrewMembership, Employer, Person, RoleHeld, Site
from training.people.queries import named
from training.people.rules import Role
from training.prepared import Blank, Shelf
from training.procedures.models import Revision

# These come of a measure. Where few cards have one they are looked for from the measures, else person by person: a
# page by name is soon full.
MEASURED = frozenset({Standing.SUSPENDED.value, Standing.WITHDRAWN.value, Standing.REPLACED.value})


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a board is asked; `standing` as `value_of` names it, `within` in days, both empty for all."""

    on: date
    today: date
    name: str = ""
    employer: Employer | None = None
    site: Site | None = None
    crew: Crew | None = None
    scheme: Scheme | None = None
    standing: str = ""
    within: int | None = None
    # Whether slips of the name are forgiven, where that is known; and whether people are walked through by name.
    forgiving: bool | None = None
    walked: bool = False
    # What `scheme_rows` found, where a form has asked it already.
    schemes: Sequence[tuple[Any, ...]] = ()

    @property
    def narrowed(self) -> bool:
        """Whether a standing or a last day is asked for, so that not everyone counted is shown."""
        return bool(self.standing) or self.within is not None

    @property
    def values(self) -> dict[str, Any]:
        """What is asked, by name, as a query takes it; what is not asked for is left out."""
        chosen = {"employer": self.employer, "site": self.site, "crew": self.crew, "scheme": self.scheme}
        values: dict[str, Any] = {name: row.pk for name, row in chosen.items() if row is not None}
        # No day of the calendar breaks the sum.
        ends = None if self.within is None else self.on + timedelta(days=min(self.within, (date.max - self.on).days))
        return {"on": self.on, **values} | ({"ends_by": ends} if ends else {})

    @property
    def said(self) -> str:
        """Everyone asked about, as text; standing and last day left out."""
        values = {name: value for name, value in self.values.items() if name != "ends_by"}
        return f"{self.name} {values} {self.on < self.today}"

    @property
    def terms(self) -> "Terms":
        """What is asked, for a query that is asked once."""
        return Terms(**self.values, **self._plain)

    @property
    def blanks(self) -> "Terms":
        """The same with a blank for each value, for a query that is asked again with others."""
        days = {"on", "ends_by"}
        blank = {name: Blank(name, DateField() if name in days else None) for name in self.values}
        return Terms(**blank, **self._plain)

    @property
    def shape(self) -> tuple[object, ...]:
        """What tells the query of this board from that of another, the values left out."""
        return (*self.values, *self._plain.values())

    @property
    def _plain(self) -> dict[str, Any]:
        """What has no blank in a query, because another value makes it another query."""
        plain: dict[str, Any] = {"past": self.on < self.today, "standing": self.standing, "walked": self.walked}
        return plain | {"name": self.name, "forgiving": self.forgiving}


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What the query of a board is made of: numbers of rows and days, or blanks for them. None is not asked for."""

    on: Any
    past: bool
    name: str
    forgiving: bool | None
    standing: str
    walked: bool
    employer: Any = None
    site: Any = None
    crew: Any = None
    scheme: Any = None
    ends_by: Any = None

    @property
    def crews(self) -> dict[str, Any]:
        """The crews asked about, as a filter of memberships; a site asks for those that go out from it."""
        chosen = {"crew__site": self.site, "crew": self.crew}
        return {name: one for name, one in chosen.items() if one is not None}


def everyone(people: QuerySet[Person], terms: Terms) -> QuerySet[Person]:
    """Keep the crew members of the day who are asked about. A closed account still counts for days before today."""
    roles = RoleHeld.objects.in_force_on(terms.on).filter(person=OuterRef("pk"), role=Role.CREW)
    people = people.filter(Exists(roles))
    if not terms.past:
        people = people.filter(is_active=True)
    if terms.employer is not None:
        people = people.filter(employer=terms.employer)
    if terms.crews:
        members = CrewMembership.objects.in_force_on(terms.on).filter(**terms.crews)
        people = people.filter(pk__in=members.values("person"))
    return named(people, terms.name, forgiving=terms.forgiving) if terms.name else people


def settled(people: QuerySet[Person], asked: Asked) -> Asked:
    """Return what is asked with whether slips of its name are forgiven: where nobody asked about is found without."""
    if not asked.name or asked.forgiving is not None:
        return asked
    exact = everyone(people, replace(asked, forgiving=False).terms)
    return replace(asked, forgiving=not exact.exists())


# A site has as many as there are employers looking, times the filters they use; and names are typed by everybody.
SHELF, NAMED = Shelf(512), Shelf(64)


def whom(people: QuerySet[Person]) -> str:
    """Tell the people somebody may see from those of another, as text."""
    try:
        return str(people.query)
    except EmptyResultSet:
        return "nobody"


def ask(
    what: str,
    people: QuerySet[Person],
    asked: Asked,
    build: Callable[[Terms], QuerySet[Any, Any]],
    *more: object,
) -> Callable[..., list[tuple[Any, ...]]]:
    """Return what answers `what` about these people, as `build` makes it; `more` tells its variants apart.

    It is prepared, so how a name is looked for must be settled.
    """
    key = (what, whom(people), asked.shape, *more)
    shelf = NAMED if asked.name else SHELF
    prepared = shelf.get(key, lambda: build(asked.blanks))
    return partial(prepared.rows, **asked.values)


def shown(people: QuerySet[Person], terms: Terms) -> QuerySet[Person]:
    """Keep, of everyone asked about, those with the standing and the last day asked for."""
    # What few have is asked first: a database that walks by name asks in this order.
    return everyone(_having(people, terms), terms)


def _having(people: QuerySet[Person], terms: Terms) -> QuerySet[Person]:
    """Keep the people with the standing and the last day asked for, on one and the same card."""
    if terms.standing == value_of(None):
        return people.filter(_without_card(terms)) if terms.ends_by is None else people.none()
    if not terms.standing and terms.ends_by is None:
        return people
    cards = Card.objects.newest_on(terms.on)
    if terms.scheme is not None:
        cards = cards.filter(scheme=terms.scheme)
    if terms.ends_by is not None:
        cards = cards.valid_on(terms.on).filter(last_day__lte=terms.ends_by)
    if terms.standing:
        cards = cards.that_stand(Standing(terms.standing), terms.on)
    if terms.standing == Standing.PROCEDURE_OVERDUE:
        # Asked once, not for each card: mostly no procedure stops anybody.
        people = people.filter(Exists(Revision.objects.filter(overdue=Overdue.STOPS, due_on__lt=terms.on)))
    taken = Measure.objects.filter(step=terms.standing, on__lte=terms.on)
    if terms.walked:
        return people.filter(_passed_by(terms, taken, there_is(cards.filter(person=OuterRef("pk")))))
    if terms.standing in MEASURED:
        return people.filter(pk__in=cards.filter(pk__in=taken.values("card")).values("person"))
    return people.filter(Exists(cards.filter(person=OuterRef("pk"))))


def _passed_by(terms: Terms, taken: QuerySet[Measure], held: Any) -> Any:
    """Ask for the card of one person after the other, where most can be passed by at a glance."""
    if terms.standing in MEASURED:
        return _if_any(taken.filter(card__person=OuterRef("pk")), held)
    if terms.ends_by is not None:
        ending = Card.objects.filter(person=OuterRef("pk"), last_day__gte=terms.on, last_day__lte=terms.ends_by)
        return _if_any(ending, held)
    return held


def _if_any(rows: QuerySet[Any], then: Any) -> Case:
    """Ask something of a person who has one of these rows, in this order whatever a database thinks of it."""
    return Case(When(there_is(rows), then=then), default=Value(False), output_field=BooleanField())


def _without_card(terms: Terms) -> Exists | Q:
    """Ask for people who hold no card of the scheme asked for, or of any one scheme in use."""
    held = Card.objects.filter(valid_from__lte=terms.on)
    if terms.scheme is not None:
        return Q(~Exists(held.filter(person=OuterRef("pk"), scheme=terms.scheme)))
    held = held.filter(person=OuterRef(OuterRef("pk")), scheme=OuterRef("pk"))
    return Exists(Scheme.objects.filter(~Exists(held), retired_at=None, issues__isnull=False))
