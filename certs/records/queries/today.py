"""The home page: what each role does next."""

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from django.conf import settings
from django.db.models import Exists, OuterRef, QuerySet
from django.urls import reverse
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _

from certs.cards.queries import CardFace, standings
from certs.invigilation.queries import to_admit
from certs.records import rules
from certs.records.queries.marked_again import MarkedAgain, marked_again
from certs.records.queries.own import Action, OwnScheme, main_action, own_schemes
from certs.records.queries.told import Told, told
from certs.schemes.queries import candidates_on
from certs.signoffs.queries import count_to_sign, waiting
from training.amendments.queries import to_decide
from training.ledger.queries import fault
from training.people.models import Person, RoleHeld
from training.people.rules import Role
from training.refreshers import queries as refreshers
from training.refreshers.queries import Refresher

# A list on the home page is a reminder; the board shows everyone.
LISTED = 12
# Who has work that others wait for.
KEEPERS = frozenset({Role.TRAINER, Role.ADMINISTRATOR})


@dataclass(frozen=True, slots=True)
class Someone:
    """A person in a list, with the card that puts them there, if one does."""

    pk: int
    name: str
    employer: str
    face: CardFace | None = None


@dataclass(frozen=True, slots=True)
class Listed:
    """The first of a list, and how long the whole is."""

    rows: tuple[Someone, ...]
    total: int

    @property
    def more(self) -> int:
        """How many are not shown."""
        return self.total - len(self.rows)


@dataclass(frozen=True, slots=True)
class Span:
    """The cards that run out between two numbers of days from today, both included."""

    first: int
    last: int
    cards: Listed


@dataclass(frozen=True, slots=True)
class Overview:
    """A supervisor's people today."""

    people: int
    may_work: int
    stopped: Listed
    without: Listed
    runs_out: tuple[Span, ...]
    confirm: Listed
    owing: Listed
    may_confirm: bool


@dataclass(frozen=True, slots=True)
class Waits:
    """What waits for this person: practicals, decisions, exceptions, and `amendments` of procedures to look at.

    `sheets` counts the practicals that are seen and written down, `to_sign` those to see. `to_admit` counts candidates
    who sit before their paper and wait to be let in; None for whom that is not theirs.
    """

    to_admit: int | None
    sheets: int
    to_sign: int
    to_decide: int
    to_approve: int
    others: int
    amendments: int

    @property
    def total(self) -> int:
        """How many sheets, practicals, decisions and exceptions this person can do now."""
        return self.sheets + self.to_sign + self.to_decide + self.to_approve


@dataclass(frozen=True, slots=True)
class Accounts:
    """What an administrator looks at; `fault` is empty while the ledger is whole, None for whom it is not theirs."""

    without_role: Listed
    fault: str | None


class Part(Protocol):
    """What a room above has to say on the home page, as `part` in a template of its own."""

    @property
    def template(self) -> str:
        """The template."""


@dataclass(frozen=True, slots=True)
class Today:
    """The home page; a part is absent for whom it is not. `also` is what rooms above have to say."""

    on: date
    across: bool
    own: tuple[OwnScheme, ...]
    told: tuple[Told, ...]
    refreshers: tuple[Refresher, ...]
    waits: Waits | None
    marked_again: MarkedAgain
    also: tuple[Part, ...]
    overview: Overview | None
    accounts: Accounts | None
    main: Action | None


def today(
    person: Person, people: QuerySet[Person], *, roles: AbstractSet[Role], across: bool, on: date, at: datetime
) -> Today:
    """Gather the home page of a person who may see these people."""
    own = own_schemes(person, on=on, at=at) if Role.CREW in roles else ()
    waits = _waits(person, people, roles, across=across, on=on, at=at) if roles & KEEPERS else None
    return Today(
        on=on,
        across=across,
        own=own,
        told=told(person, on=on) if Role.CREW in roles else (),
        refreshers=refreshers.due(person, on=on) if Role.CREW in roles else (),
        waits=waits,
        marked_again=marked_again(person, people, roles=roles, across=across, on=on, at=at),
        also=_also(person, roles, on=on),
        overview=overview(people, may_confirm=Role.SUPERVISOR in roles and not across, on=on)
        if roles & {Role.SUPERVISOR, Role.ADMINISTRATOR}
        else None,
        accounts=_accounts(people, across=across, on=on) if Role.ADMINISTRATOR in roles else None,
        main=_main(own, waits, roles),
    )


def _also(person: Person, roles: AbstractSet[Role], *, on: date) -> tuple[Part, ...]:
    said = (import_string(path)(person, roles, on=on) for path in settings.HOME_TOLD_BY)
    return tuple(part for part in said if part is not None)


def _main(own: Sequence[OwnScheme], waits: Waits | None, roles: AbstractSet[Role]) -> Action | None:
    """Return the one main button: the person's own next step before what waits from others."""
    pressing = main_action(own)
    if pressing is not None:
        return pressing
    from_others = _from_others(waits) if waits is not None else None
    if from_others is not None:
        return from_others
    if roles & {Role.SUPERVISOR, Role.ADMINISTRATOR}:
        return Action(reverse("board:grid"), _("Open the board"))
    held = next((one.face for one in own if one.face and one.face.holds), None)
    if held is not None:
        return Action(reverse("cards:card", args=[held.number]), _("Show my card"))
    return Action(reverse("procedures:index"), _("Open the procedures")) if roles else None


def _from_others(waits: Waits) -> Action | None:
    # Somebody sits before a paper and cannot start it: that goes before what can be done any day.
    if waits.to_admit:
        return Action(reverse("invigilation:waiting"), _("Confirm who sits down"))
    if waits.total:
        return Action(reverse("signoffs:waiting"), _("Open what waits"))
    return Action(reverse("amendments:index"), _("Look at an amended procedure")) if waits.amendments else None


def _waits(
    person: Person, people: QuerySet[Person], roles: AbstractSet[Role], *, across: bool, on: date, at: datetime
) -> Waits:
    """Count what waits, apart from what this person may not act on."""
    found = waiting(person, people, on=on)
    # A practical whose sheet is filled in was seen: it waits for a signature, and is counted there.
    kinds = ([one for one in found.waiters if not one.seen_by], found.undecided, found.asked)
    mine, every = [sum(not one.why_not for one in kind) for kind in kinds], sum(map(len, kinds))
    sheets = count_to_sign(person)
    door = to_admit(person, people, on=on, at=at) if Role.TRAINER in roles else None
    return Waits(door, sheets, *mine, others=every - sum(mine), amendments=to_decide(person) if across else 0)


def overview(people: QuerySet[Person], *, may_confirm: bool, on: date) -> Overview:
    """Return how these people's cards stand today, in four queries at any size."""
    crew = list(candidates_on(people, on).select_related("employer"))
    faces = standings([one.pk for one in crew], on=on)
    by_pk = {one.pk: one for one in crew}
    # Cards carry the name of the day they were issued; a list of people carries the name of today.
    held = [
        _someone(by_pk[person], face)
        for (person, _scheme), face in sorted(faces.items(), key=lambda pair: pair[1].last_day)
    ]
    holds = [one for one in held if one.face.holds]
    having = {person for person, _scheme in faces}
    return Overview(
        people=len(crew),
        may_work=len({one.pk for one in holds}),
        stopped=_listed(sorted((one for one in held if not one.face.holds), key=lambda one: one.name)),
        without=_listed([_someone(one) for one in crew if one.pk not in having]),
        runs_out=_runs_out(holds, on=on),
        confirm=_listed(
            sorted((one for one in holds if _confirm(one.face, on=on)), key=lambda one: one.face.confirmed_to)
        ),
        owing=_listed(sorted((one for one in held if one.face.owed), key=lambda one: one.face.owed[0].by_day)),
        may_confirm=may_confirm,
    )


def _runs_out(holds: Sequence[Someone], *, on: date) -> tuple[Span, ...]:
    return tuple(
        Span(
            first,
            last,
            _listed(one for one in holds if rules.runs_out_within(one.face.last_day, on=on) == last),
        )
        for first, last in zip((0, *(days + 1 for days in rules.AHEAD_DAYS)), rules.AHEAD_DAYS, strict=False)
    )


def _confirm(face: CardFace, *, on: date) -> bool:
    return rules.confirm_soon(face.standing, confirmed_to=face.confirmed_to, last_day=face.last_day, on=on)


def _someone(person: Person, face: CardFace | None = None) -> Someone:
    return Someone(person.pk, person.name, person.employer.name, face)


def _listed(rows: Iterable[Someone]) -> Listed:
    every = tuple(rows)
    return Listed(every[:LISTED], len(every))


def _accounts(people: QuerySet[Person], *, across: bool, on: date) -> Accounts:
    """List the open accounts without a role, and prove the ledger for who keeps it."""
    roles = RoleHeld.objects.in_force_on(on).filter(person=OuterRef("pk"))
    idle = people.filter(is_active=True).exclude(Exists(roles)).select_related("employer").order_by("name", "pk")
    shown = tuple(_someone(one) for one in idle[:LISTED])
    return Accounts(Listed(shown, idle.count()), fault() if across else None)
