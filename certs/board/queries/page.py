"""A page of the board: who holds what as of a day, in as many queries however many people there are."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils.formats import date_format
from django.utils.text import slugify
from django.utils.translation import gettext as _

from certs.board.queries.asked import Asked, everyone, shown
from certs.board.queries.tally import StandingCount, tally
from certs.board.queries.words import DAYS, WORDS
from certs.cards.queries import Holding, holdings
from certs.cards.rules import Standing
from certs.schemes.models import SchemeIssue
from training.people.models import CrewMembership, Person

PER_PAGE = 25
SHAPES = {standing: slugify(standing) for standing in Standing}


@dataclass(frozen=True, slots=True)
class Column:
    """A scheme, and how many of everyone asked about may work under it."""

    scheme_id: int
    slug: str
    title: str
    holding: str


@dataclass(frozen=True, slots=True)
class Cell:
    """What a person holds under a scheme; without a number there is no card."""

    scheme: str
    standing: Standing | None
    words: str
    shape: str
    says: str = ""
    note: str = ""
    number: str = ""
    owed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """A person with a cell for each column; the number is text, so that no page groups its thousands."""

    pk: int
    name: str
    employer: str
    crews: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """A page of the board. The counts are of everyone asked about, whatever the standing and last day asked for.

    `before` and `after` are the numbers of the people beside whom the next pages begin, or None at either end.
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


@dataclass(frozen=True, slots=True)
class Someone:
    """A person by name, with their employer and crews of the day."""

    pk: int
    name: str
    employer: str
    crews: tuple[str, ...] = ()


def grid(people: QuerySet[Person], asked: Asked, *, at: datetime, before: str = "", after: str = "") -> Board:
    """Return the page of the board that follows the person numbered `after`, or leads up to `before`."""
    every = everyone(people, asked)
    found, first, last = _beside(shown(every, asked), before=before, after=after)
    held = holdings([one.pk for one in found], on=asked.on)
    columns = schemes(asked, {scheme for _person, scheme in held})
    counted = tally(every, on=asked.on, scheme=asked.scheme and asked.scheme.pk, at=at)
    in_use = {pk for pk, _slug, _title, retired in columns if not retired}
    return Board(
        on=asked.on,
        columns=tuple(Column(pk, slug, title, str(counted.holding(pk))) for pk, slug, title, _retired in columns),
        rows=tuple(_row(one, held, columns) for one in with_crews(found, on=asked.on)),
        counts=counted.counts(in_use),
        people=counted.people,
        may_work=counted.may_work,
        counted_at=counted.counted_at,
        before=None if first or not found else found[0].pk,
        after=None if last or not found else found[-1].pk,
    )


def _beside(people: QuerySet[Person], *, before: str, after: str) -> tuple[list[Someone], bool, bool]:
    """Return a page of people in the order of names, and whether it is the first and the last one.

    A page begins beside a person, not at a count of pages: the database need not walk what lies before it.
    """
    backward = bool(before)
    beside = _place(before or after)
    if beside is not None:
        name, pk = beside
        if backward:
            people = people.filter(Q(name__lt=name) | Q(pk__lt=pk), name__lte=name)
        else:
            people = people.filter(Q(name__gt=name) | Q(pk__gt=pk), name__gte=name)
    order = ("-name", "-pk") if backward and beside is not None else ("name", "pk")
    rows = list(people.order_by(*order).values_list("pk", "name", "employer__name")[: PER_PAGE + 1])
    more = len(rows) > PER_PAGE
    found = [Someone(*row) for row in rows[:PER_PAGE]]
    if beside is None:
        return found, True, not more
    return (found[::-1], not more, False) if backward else (found, False, not more)


def _place(typed: str) -> tuple[str, int] | None:
    """Return the name and number of a person a page begins beside, or None: a page that is not there is the first."""
    if not (typed.isascii() and typed.isdigit() and len(typed) < 12):
        return None
    return Person.objects.filter(pk=int(typed)).values_list("name", "pk").first()


def listed(people: QuerySet[Person]) -> list[Someone]:
    """Return all these people by employer and name; `with_crews` adds their crews, some at a time."""
    rows = people.order_by("employer__name", "name", "pk").values_list("pk", "name", "employer__name")
    return [Someone(*row) for row in rows]


def with_crews(people: Sequence[Someone], *, on: date) -> list[Someone]:
    """Add to people the crews of a day, in one query."""
    crews: dict[int, list[str]] = defaultdict(list)
    memberships = CrewMembership.objects.in_force_on(on).filter(person__in=[one.pk for one in people])
    for person, crew in memberships.order_by("crew__name").values_list("person", "crew__name").distinct():
        crews[person].append(crew)
    return [Someone(one.pk, one.name, one.employer, tuple(crews[one.pk])) for one in people]


def schemes(asked: Asked, held: set[int]) -> list[tuple[int, str, str, bool]]:
    """Return each scheme in use, and each retired one of which a card is shown: number, slug, title, retired.

    Only the one asked for, where one is.
    """
    issues = _newest_issues().filter(Q(scheme__retired_at=None) | Q(scheme__in=held))
    if asked.scheme is not None:
        issues = issues.filter(scheme=asked.scheme)
    rows = issues.order_by("title", "pk").values_list("scheme_id", "scheme__slug", "title", "scheme__retired_at")
    return [(pk, slug, title, retired is not None) for pk, slug, title, retired in rows]


def scheme_names() -> list[tuple[str, str]]:
    """Return slug and newest title of every scheme, retired or not: a past board shows their cards."""
    return list(_newest_issues().order_by("title", "pk").values_list("scheme__slug", "title"))


def _newest_issues() -> QuerySet[SchemeIssue]:
    newest = SchemeIssue.objects.filter(scheme=OuterRef("scheme")).order_by("-number").values("pk")[:1]
    return SchemeIssue.objects.filter(pk=Subquery(newest))


def _row(
    someone: Someone, held: Mapping[tuple[int, int], Holding], columns: Iterable[tuple[int, str, str, bool]]
) -> Row:
    cells = tuple(cell(held.get((someone.pk, pk)), title) for pk, _slug, title, _retired in columns)
    return Row(someone.pk, someone.name, someone.employer, ", ".join(someone.crews), cells)


def cell(held: Holding | None, title: str) -> Cell:
    """Say in words what a person holds under the scheme of that title."""
    if held is None:
        return Cell(title, None, str(WORDS[None]), "none")
    return Cell(
        scheme=title,
        standing=held.standing,
        words=str(WORDS[held.standing]),
        shape=SHAPES[held.standing],
        says=str(DAYS[held.standing]) % {"day": date_format(held.day)},
        note=held.warning or _confirmed(held),
        number=held.number,
        owed=tuple(one.words for one in held.owed),
    )


def _confirmed(held: Holding) -> str:
    # A card that ends no later needs no more confirmation.
    if not held.standing.holds or held.confirmed_to >= held.last_day:
        return ""
    return _("work confirmed to %(day)s") % {"day": date_format(held.confirmed_to)}
