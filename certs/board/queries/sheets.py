"""The day sheet: a page for each crew, with who may work on the day, until when, and why not."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import F, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from certs.board.queries.asked import Asked, settled, shown
from certs.board.queries.cells import Cell, Say
from certs.board.queries.page import Someone, schemes
from certs.cards.queries import Holding, holdings
from training.people.models import CrewMembership, Person

# More than this is no print for a morning, and would keep a server busy for minutes.
MOST_CREWS, MOST_PEOPLE = 40, 600


class TooMany(ValueError):
    """So many crews are not printed at one go; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Line:
    """A person of a crew with a cell for each scheme, and whether any lets them work."""

    name: str
    may_work: bool
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class CrewSheet:
    """A crew on the day: who may work comes first. Without a crew, the people who are in none."""

    employer: str
    site: str
    crew: str
    lines: tuple[Line, ...]

    @property
    def says(self) -> str:
        """How many may work."""
        words = ngettext(
            "%(may)d of %(people)d person may work under a card.",
            "%(may)d of %(people)d people may work under a card.",
            len(self.lines),
        )
        return words % {"may": sum(line.may_work for line in self.lines), "people": len(self.lines)}


@dataclass(frozen=True, slots=True)
class DaySheet:
    """The sheets of a day, by employer and crew, under the titles of their schemes."""

    on: date
    titles: tuple[str, ...]
    crews: tuple[CrewSheet, ...]


def day_sheet(people: QuerySet[Person], asked: Asked) -> DaySheet:
    """Return the sheets of all crews asked about. Raises TooMany."""
    found = [
        Someone(*row)
        for row in shown(people, settled(people, asked).terms)
        .order_by("employer__name", "name", "pk")
        .values_list("pk", "name", "employer__name")[: MOST_PEOPLE + 1]
    ]
    by_pk = {one.pk: one for one in found}
    crews = _crews(found, asked) if len(found) <= MOST_PEOPLE else {}
    if not 0 < len(crews) <= MOST_CREWS and found:
        raise TooMany(_("That is too many for one print. Choose an employer or a crew, press Show, and print again."))
    held = holdings(by_pk, on=asked.on)
    columns = [
        (pk, title) for pk, _slug, title, _retired in schemes(asked, lambda: {scheme for _person, scheme in held})
    ]
    return DaySheet(
        on=asked.on,
        titles=tuple(title for _pk, title in columns),
        crews=tuple(
            CrewSheet(*place, _lines([by_pk[pk] for pk in members], held, columns)) for place, members in crews.items()
        ),
    )


def _crews(people: Sequence[Someone], asked: Asked) -> dict[tuple[str, str, str], list[int]]:
    """Return the members of each crew of the day, by employer, site and crew, and last those of an employer in none."""
    rows = CrewMembership.objects.in_force_on(asked.on).filter(person__in=[one.pk for one in people])
    rows = rows.filter(**asked.terms.crews)
    crews: dict[tuple[str, str, str], list[int]] = {}
    for employer, site, crew, person in (
        rows.order_by(
            "crew__employer__name", F("crew__site__name").asc(nulls_last=True), "crew__name", "person__name", "person"
        )
        .values_list("crew__employer__name", "crew__site__name", "crew__name", "person")
        .distinct()
    ):
        crews.setdefault((employer, site or "", crew), []).append(person)
    placed = {pk for members in crews.values() for pk in members}
    for one in people:
        if one.pk not in placed:
            crews.setdefault((one.employer, "", ""), []).append(one.pk)
    return crews


def _lines(
    people: Sequence[Someone], held: dict[tuple[int, int], Holding], columns: Sequence[tuple[int, str]]
) -> tuple[Line, ...]:
    lines, say = [], Say()
    for one in people:
        cards = [held.get((one.pk, pk)) for pk, _title in columns]
        cells = tuple(say.cell(card, title) for card, (_pk, title) in zip(cards, columns, strict=True))
        lines.append(Line(one.name, any(card is not None and card.standing.holds for card in cards), cells))
    return tuple(sorted(lines, key=lambda line: not line.may_work))
