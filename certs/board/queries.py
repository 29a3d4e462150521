"""The board: who holds what as of a day, in five queries at any size."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.core.paginator import Page, Paginator
from django.db.models import Exists, FilteredRelation, OuterRef, Q, QuerySet, Subquery
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.board import rules
from certs.cards.queries import CardFace, standings
from certs.cards.rules import Standing
from certs.schemes.models import SchemeIssue
from training.people.models import Crew, CrewMembership, Employer, Person, RoleHeld
from training.people.rules import Role

# A gang or a depot fits on one sheet; a whole industry would be a page no telephone can open.
PER_PAGE = 200

WORDS: Mapping[Standing | None, str | Promise] = {
    Standing.CURRENT: gettext_lazy("Current"),
    Standing.DUE: gettext_lazy("Due"),
    Standing.WORK_NOT_CONFIRMED: gettext_lazy("Work not confirmed"),
    Standing.PROCEDURE_OVERDUE: gettext_lazy("Procedure overdue"),
    Standing.SUSPENDED: gettext_lazy("Suspended"),
    Standing.LAPSED: gettext_lazy("Lapsed"),
    Standing.WITHDRAWN: gettext_lazy("Withdrawn"),
    Standing.REPLACED: gettext_lazy("Replaced"),
    Standing.NOT_YET_VALID: gettext_lazy("Not yet valid"),
    None: gettext_lazy("No card"),
}
DAYS: Mapping[Standing, str | Promise] = {
    Standing.CURRENT: gettext_lazy("until %(day)s"),
    Standing.DUE: gettext_lazy("until %(day)s"),
    Standing.WORK_NOT_CONFIRMED: gettext_lazy("was due %(day)s"),
    Standing.PROCEDURE_OVERDUE: gettext_lazy("was due %(day)s"),
    Standing.SUSPENDED: gettext_lazy("since %(day)s"),
    Standing.LAPSED: gettext_lazy("last day %(day)s"),
    Standing.WITHDRAWN: gettext_lazy("since %(day)s"),
    Standing.REPLACED: gettext_lazy("since %(day)s"),
    Standing.NOT_YET_VALID: gettext_lazy("from %(day)s"),
}


@dataclass(frozen=True, slots=True)
class Column:
    """A scheme, and how many of the people below may work under it."""

    scheme_id: int
    slug: str
    title: str
    holding: int


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
    """A person with a cell for each column."""

    pk: int
    name: str
    employer: str
    crews: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Count:
    """How often a standing occurs among the people asked about; `value` is what a filter takes."""

    value: str
    words: str
    shape: str
    number: int


@dataclass(frozen=True, slots=True)
class Board:
    """A page of the board. The counts are of everyone asked about, whatever the standing asked for."""

    on: date
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    counts: tuple[Count, ...]
    people: int
    may_work: int
    shown: int
    page: Page  # type: ignore[type-arg]


@dataclass(frozen=True, slots=True)
class Someone:
    """A person with their employer and crews."""

    """A person with their employer and crews."""

    pk: int
    name: str
    employer: str
    crews: tuple[str, ...]


def value_of(standing: Standing | None) -> str:
    """Return a standing as a filter names it."""
    return "no card" if standing is None else standing.value


def grid(
    people: QuerySet[Person],
    *,
    on: date,
    today: date,
    crew: Crew | None = None,
    employer: Employer | None = None,
    standing: str = "",
    page: str = "",
) -> Board:
    """Return the board of a day for these people; `standing` as `value_of` names it, empty for all."""
    found = listed(asked(people, on=on, today=today, crew=crew, employer=employer), on=on)
    faces = standings([one.pk for one in found], on=on)
    columns = schemes({scheme for _person, scheme in faces})
    lines = {one.pk: [faces.get((one.pk, pk)) for pk, _slug, _title in columns] for one in found}
    values = {pk: [face and face.standing for face in line] for pk, line in lines.items()}
    wanted = next((one for one in rules.ORDER if value_of(one) == standing), None)
    kept = [one for one in found if not standing or rules.keeps(values[one.pk], wanted)]
    shown = Paginator(kept, PER_PAGE).get_page(page)
    return Board(
        on=on,
        columns=tuple(
            Column(pk, slug, title, sum(face is not None and face.holds for face in column))
            for (pk, slug, title), column in zip(columns, zip(*lines.values(), strict=True), strict=bool(lines))
        ),
        rows=tuple(_row(one, lines[one.pk], [title for _pk, _slug, title in columns]) for one in shown),
        counts=tuple(_count(one, number) for one, number in rules.counts(c for row in values.values() for c in row)),
        people=len(found),
        may_work=sum(rules.may_work(row) for row in values.values()),
        shown=len(kept),
        page=shown,
    )


def asked(
    people: QuerySet[Person], *, on: date, today: date, crew: Crew | None, employer: Employer | None
) -> QuerySet[Person]:
    """Keep the crew members of a day. An account closed since still counts for the days before today."""
    roles = RoleHeld.objects.in_force_on(on).filter(person=OuterRef("pk"), role=Role.CREW)
    people = people.filter(Exists(roles))
    if on >= today:
        people = people.filter(is_active=True)
    if employer is not None:
        people = people.filter(employer=employer)
    if crew is not None:
        people = people.filter(Exists(CrewMembership.objects.in_force_on(on).filter(person=OuterRef("pk"), crew=crew)))
    return people


def listed(people: QuerySet[Person], *, on: date) -> list[Someone]:
    """Load people with the crews of a day in one query, by employer and name."""
    ends = Q(crew_memberships__until_on=None) | Q(crew_memberships__until_on__gte=on)
    rows = people.annotate(
        membership=FilteredRelation("crew_memberships", condition=Q(crew_memberships__from_on__lte=on) & ends)
    ).order_by("employer__name", "name", "pk", "membership__crew__name")
    found: dict[int, Someone] = {}
    for pk, name, employer, crew in rows.values_list("pk", "name", "employer__name", "membership__crew__name"):
        crews = found[pk].crews if pk in found else ()
        found[pk] = Someone(pk, name, employer, (*crews, crew) if crew and crew not in crews else crews)
    return list(found.values())


def schemes(held: set[int]) -> list[tuple[int, str, str]]:
    """Return each scheme in use, and each retired one of which somebody holds a card: number, slug, title."""
    newest = SchemeIssue.objects.filter(scheme=OuterRef("scheme")).order_by("-number").values("pk")[:1]
    issues = SchemeIssue.objects.filter(pk=Subquery(newest)).filter(Q(scheme__retired_at=None) | Q(scheme__in=held))
    return list(issues.order_by("title", "pk").values_list("scheme_id", "scheme__slug", "title"))


def _row(someone: Someone, faces: Sequence[CardFace | None], titles: Sequence[str]) -> Row:
    cells = tuple(_cell(face, title) for face, title in zip(faces, titles, strict=True))
    return Row(someone.pk, someone.name, someone.employer, ", ".join(someone.crews), cells)


def _cell(face: CardFace | None, title: str) -> Cell:
    if face is None:
        return Cell(title, None, str(WORDS[None]), "none")
    return Cell(
        scheme=title,
        standing=face.standing,
        words=str(WORDS[face.standing]),
        shape=slugify(face.standing),
        says=str(DAYS[face.standing]) % {"day": date_format(face.day)},
        note=face.warning or _confirmed(face),
        number=face.number,
        owed=tuple(one.words for one in face.owed),
    )


def _confirmed(face: CardFace) -> str:
    # A card that ends no later needs no more confirmation.
    if not face.holds or face.confirmed_to >= face.last_day:
        return ""
    return _("work confirmed to %(day)s") % {"day": date_format(face.confirmed_to)}


def _count(standing: Standing | None, number: int) -> Count:
    return Count(value_of(standing), str(WORDS[standing]), slugify(standing) if standing else "none", number)
