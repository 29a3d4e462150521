"""Rosters to take away: an empty one, and one of today that comes back in without changing anything."""

import csv
import io
from collections.abc import Iterator
from datetime import date

from training.people.models import Crew, Employer, Person
from training.rosters.queries.register import register_of
from training.rosters.rules import Column, Known, Register, head_of
from training.tables.rules import harmless

PRESENT_HEADS = tuple(head_of(column) for column in Column)
Cells = tuple[str, ...]


def empty_lines() -> Iterator[Cells]:
    """Yield nothing: a roster with its heads only."""
    yield from ()


def present_lines(employer: Employer, *, by: Person, on: date) -> Iterator[Cells]:
    """Yield a line for everyone who works for an employer, by name, with the crews and the settled last day."""
    crews = dict(Crew.objects.filter(employer=employer).values_list("pk", "name"))
    register = register_of(employer, by=by, on=on)
    for known in register.people:
        if known.is_here(on):
            yield tuple(harmless(text) for text in _cells(known, register, crews, on))


def _cells(known: Known, register: Register, crews: dict[int, str], on: date) -> Cells:
    own = known.crews(on)
    sites = {register.sites.get(pk, "") for pk in own}
    last = known.last_day(on)
    return (
        known.number,
        known.name,
        known.username,
        known.email,
        _joined(sorted(crews[pk] for pk in own)),
        sites.pop() if len(sites) == 1 else "",
        last.isoformat() if last else "",
    )


def _joined(names: list[str]) -> str:
    """Join the names of crews as the column of crews is read: parted by `;`, quoted where needed."""
    file = io.StringIO(newline="")
    csv.writer(file, delimiter=";", lineterminator="").writerow(names)
    return file.getvalue()
