"""A page of the board: who holds what as of a day, in as many queries however many people there are."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import Any, cast

from django.db.models import CharField, DateField, OuterRef, Q, QuerySet, Subquery

from certs.board import rules
from certs.board.queries.asked import Asked, ask, settled, shown
from certs.board.queries.cells import Cell, Say
from certs.board.queries.tally import StandingCount, tally
from certs.cards.queries import Holding, holdings
from certs.schemes.models import SchemeIssue
from training.people.models import CrewMembership, Person
from training.people.rules import begins
from training.prepared import Blank, Prepared

PER_PAGE = 25


@dataclass(frozen=True, slots=True)
class Column:
    """A scheme, and how many of everyone asked about may work under it."""

    scheme_id: int
    slug: str
    title: str
    holding: str


@dataclass(frozen=True, slots=True)
class Row:
    """A person with a cell for each column; the number is text, so that no page groups its thousands."""

    pk: int
    name: str
    employer: str
    crews: str
    sites: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """A page of the board. The counts are of everyone asked about, whatever the standing and last day asked for.

    `before` and `after` are the numbers of the people beside whom the next pages begin, or None at either end.
    `guessed` says that no name begins as was typed, and that these are spelled nearly so.
    """

    on: date
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    counts: tuple[StandingCount, ...]
    people: int
    may_work: int
    counted_at: datetime | None
    before: int | None
    after: int | None
    guessed: bool


@dataclass(frozen=True, slots=True)
class Someone:
    """A person by name, with their employer."""

    pk: int
    name: str
    employer: str


def grid(people: QuerySet[Person], asked: Asked, *, at: datetime, before: str = "", after: str = "") -> Board:
    """Return the page of the board that follows the person numbered `after`, or leads up to `before`."""
    counted = tally(people, asked, at=at)
    having = counted.having(asked.standing) if asked.standing else counted.people
    walked = rules.is_walked(counted.people, having=having, page=PER_PAGE)
    asked = replace(asked, forgiving=counted.forgiving, walked=walked)
    found, first, last = _beside(people, asked, before=before, after=after)
    held = holdings([one.pk for one in found], on=asked.on)
    columns = schemes(asked, lambda: {scheme for _person, scheme in held})
    say, crews = Say(), crews_of([one.pk for one in found], on=asked.on)
    in_use = {pk for pk, _slug, _title, retired in columns if not retired}
    return Board(
        on=asked.on,
        columns=tuple(Column(pk, slug, title, str(counted.holding(pk))) for pk, slug, title, _retired in columns),
        rows=tuple(
            Row(one.pk, one.name, one.employer, *crews.get(one.pk, NOWHERE), _cells(one, held, columns, say))
            for one in found
        ),
        counts=counted.counts(in_use),
        people=counted.people,
        may_work=counted.may_work,
        counted_at=counted.counted_at,
        before=None if first or not found else found[0].pk,
        after=None if last or not found else found[-1].pk,
        # A search forgives slips only where no name begins so: what holds of one holds of all.
        guessed=bool(asked.name and found) and not begins(found[0].name, asked.name),
    )


def _beside(people: QuerySet[Person], asked: Asked, *, before: str, after: str) -> tuple[list[Someone], bool, bool]:
    """Return a page of people in the order of names, and whether it is the first and the last one.

    A page begins beside a person, not at a count of pages: the database need not walk what lies before it.
    """
    beside = _place(before or after)
    way = Way.FIRST if beside is None else Way.BEFORE if before else Way.AFTER
    place = {} if beside is None else {"beside_name": beside[0], "beside": beside[1]}
    rows = ask("page", people, asked, lambda terms: _page(shown(people, terms), way, PER_PAGE), way, PER_PAGE)(**place)
    more = len(rows) > PER_PAGE
    found = [Someone(*row) for row in rows[:PER_PAGE]]
    if way is Way.FIRST:
        return found, True, not more
    return (found[::-1], not more, False) if way is Way.BEFORE else (found, False, not more)


class Way(StrEnum):
    """Where a page lies: at the beginning, or before or after somebody."""

    FIRST = "first"
    BEFORE = "before"
    AFTER = "after"


def _page(people: QuerySet[Person], way: Way, size: int) -> QuerySet[Person, Any]:
    name, pk = Blank("beside_name", CharField()), Blank("beside")
    if way is Way.BEFORE:
        people = people.filter(Q(name__lt=name) | Q(pk__lt=pk), name__lte=name)
    elif way is Way.AFTER:
        people = people.filter(Q(name__gt=name) | Q(pk__gt=pk), name__gte=name)
    order = ("-name", "-pk") if way is Way.BEFORE else ("name", "pk")
    return people.order_by(*order).values_list("pk", "name", "employer__name")[: size + 1]


def _place(typed: str) -> tuple[str, int] | None:
    """Return the name and number of a person a page begins beside, or None: a page that is not there is the first."""
    if not (typed.isascii() and typed.isdigit() and len(typed) < 12):
        return None
    return Person.objects.filter(pk=int(typed)).values_list("name", "pk").first()


def listed(people: QuerySet[Person], asked: Asked) -> list[tuple[int, str, str, str]]:
    """Return key, name, number and employer of everyone shown on all pages, by employer and name."""
    columns, order = ("pk", "name", "number", "employer__name"), ("employer__name", "name", "pk")
    asked = settled(people, asked)
    rows = ask("all", people, asked, lambda terms: shown(people, terms).order_by(*order).values_list(*columns))()
    return cast("list[tuple[int, str, str, str]]", rows)


NOWHERE = ("", "")


def crews_of(people: list[int], *, on: date) -> dict[int, tuple[str, str]]:
    """Return the crews of a day of each of these people, and the sites those go out from; who has none is left out."""
    return _by_person(CREWS.rows(people=people, on=on))


def crews_of_all(people: QuerySet[Person], asked: Asked) -> dict[int, tuple[str, str]]:
    """Return the same of everyone shown on all pages."""
    asked = settled(people, asked)
    rows = ask("crews", people, asked, lambda terms: _members(terms.on, person__in=shown(people, terms)))()
    return _by_person(rows)


def _by_person(rows: list[tuple[Any, ...]]) -> dict[int, tuple[str, str]]:
    # Nearly everyone is in one crew, with many others: a crew is held once, and that of a person is overwritten here
    # only by another of theirs.
    held: dict[tuple[str, str], tuple[str, str]] = {}
    found = {}
    for person, crew, site in rows:
        place = crew, site or ""
        found[person] = held.setdefault(place, place)
    if len(found) < len(rows):
        several = defaultdict(set)
        for person, crew, site in rows:
            several[person].add((crew, site or ""))
        found |= {person: _named(places) for person, places in several.items() if len(places) > 1}
    return found


def _named(places: Collection[tuple[str, str]]) -> tuple[str, str]:
    """Return the crews by name, and each of their sites once."""
    crews = sorted(places)
    return ", ".join(crew for crew, _site in crews), ", ".join(dict.fromkeys(site for _crew, site in crews if site))


def _members(on: Any, **of: Any) -> Any:
    members = CrewMembership.objects.in_force_on(on).filter(**of)
    return members.order_by().values_list("person", "crew__name", "crew__site__name")


CREWS = Prepared(lambda: _members(Blank("on", DateField()), person__among=Blank("people")))


def schemes(asked: Asked, held: Callable[[], Collection[int]]) -> list[tuple[int, str, str, bool]]:
    """Return each scheme in use, and each retired one of which a card is `held`: number, slug, title, retired.

    Only the one asked for, where one is.
    """
    rows = asked.schemes or scheme_rows()
    still = held() if any(retired for *_scheme, retired in rows) else ()
    return [
        (pk, slug, title, retired is not None)
        for pk, slug, title, retired in rows
        if (retired is None or pk in still) and (asked.scheme is None or pk == asked.scheme.pk)
    ]


def scheme_rows() -> list[tuple[Any, ...]]:
    """Return number, slug, newest title and end of use of every scheme: a past board shows cards of those."""
    return SCHEMES.rows()


def _schemes() -> Any:
    newest = SchemeIssue.objects.filter(scheme=OuterRef("scheme")).order_by("-number").values("pk")[:1]
    issues = SchemeIssue.objects.filter(pk=Subquery(newest)).order_by("title", "pk")
    return issues.values_list("scheme_id", "scheme__slug", "title", "scheme__retired_at")


SCHEMES = Prepared(_schemes)


def _cells(
    someone: Someone, held: Mapping[tuple[int, int], Holding], columns: Iterable[tuple[int, str, str, bool]], say: Say
) -> tuple[Cell, ...]:
    return tuple(say.cell(held.get((someone.pk, pk)), title) for pk, _slug, title, _retired in columns)
