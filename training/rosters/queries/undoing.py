"""What stands in the way of undoing a roster."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _

from training.people.models import CrewMembership, Dated, Person, RoleHeld
from training.people.rules import overlap
from training.rosters.models import Roster
from training.rosters.rules import Kept

UNDO_DAYS = 30
TABLES: Mapping[str, type[Dated]] = {Kept.CREW: CrewMembership, Kept.ROLE: RoleHeld}
Done = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class InTheWay:
    """A person because of whom a roster cannot be undone, and why."""

    name: str
    why: str


def undone_until(roster: Roster) -> datetime | None:
    """Return the moment until which a roster can be undone, None where it cannot."""
    if roster.applied_at is None or roster.undone_at is not None or not roster.done:
        return None
    return roster.applied_at + timedelta(days=UNDO_DAYS)


def in_the_way(roster: Roster) -> tuple[InTheWay, ...]:
    """Name everyone who has done or been given anything since that undoing would take away or leave wrong."""
    people = Person.objects.in_bulk([done["person"] for done in roster.done])
    rows = {
        Kept.CREW: CrewMembership.objects.select_related("crew").in_bulk(_rows_of(roster.done, Kept.CREW)),
        Kept.ROLE: RoleHeld.objects.in_bulk(_rows_of(roster.done, Kept.ROLE)),
    }
    others = _others(roster.done)
    on_record = _on_record(roster.done)
    found: list[InTheWay] = []
    for done in roster.done:
        person = people.get(done["person"])
        why = _why(done, person, rows, others) or on_record.get(done["person"])
        if why:
            found.append(InTheWay(person.name if person else _("Somebody"), why))
    return tuple(found)


def _rows_of(every: Iterable[Done], table: str) -> list[int]:
    return [pk for done in every for kind, pk, _was, _became in done["times"] if kind == table]


def _why(done: Done, person: Person | None, rows: Mapping[str, Mapping[int, Any]], others: Any) -> str:
    if person is None:
        return _("is no longer on record")
    if done["new"] and (person.has_usable_password() or person.last_login):
        return _("has been given a way to sign in")
    if any(getattr(person, name) != value for name, value in done["became"].items()):
        return _("was changed since")
    return next(filter(None, (_why_of_time(done, time, rows, others) for time in done["times"])), "")


def _why_of_time(done: Done, time: Any, rows: Mapping[str, Mapping[int, Any]], others: Any) -> str:
    table, pk, was, became = time
    row = rows[table].get(pk)
    if row is None or _day(row.until_on) != became:
        return _("had a crew or a role changed since")
    if was == "made":
        return ""
    if isinstance(row, CrewMembership) and not row.crew.is_used:
        return _("was in a crew that is out of use now")
    again = (other for other in others[table, done["person"], _what(row)] if other.pk != pk)
    return _("was put in the same crew or role again since") if any(_meets(row, was, one) for one in again) else ""


def _meets(row: Any, was: str | None, other: Any) -> bool:
    until = None if was is None else row.from_on.fromisoformat(was)
    return overlap(row.from_on, until, other.from_on, other.until_on)


def _day(day: Any) -> str | None:
    return day.isoformat() if day else None


def _what(row: Any) -> Any:
    return row.crew_id if isinstance(row, CrewMembership) else row.role


def _others(every: Iterable[Done]) -> Mapping[tuple[str, int, Any], list[Any]]:
    """Return the times of these people that the roster did not make, by table, person and crew or role."""
    found: dict[tuple[str, int, Any], list[Any]] = defaultdict(list)
    every = list(every)
    for table, model in TABLES.items():
        made = [pk for done in every for kind, pk, was, _became in done["times"] if kind == table and was == "made"]
        for row in model.objects.filter(person__in=[done["person"] for done in every]).exclude(pk__in=made):
            found[table, row.person_id, _what(row)].append(row)
    return found


def _on_record(every: Iterable[Done]) -> dict[int, str]:
    """Say of each new person what else is on record: whatever points at a person, in any room, now or later."""
    fresh = {done["person"]: done for done in every if done["new"]}
    made = {table: _rows_of(fresh.values(), table) for table in TABLES}
    found: dict[int, str] = {}
    for relation in Person._meta.get_fields(include_hidden=True):
        if not (relation.auto_created and not relation.concrete and relation.related_model):
            continue
        model: type[Model] = relation.related_model  # type: ignore[assignment]
        name = relation.field.name  # type: ignore[union-attr]
        pointing = model._base_manager.filter(**{f"{name}__in": list(fresh)})
        table = next((table for table, known in TABLES.items() if known is model), None)
        if table:
            pointing = pointing.exclude(pk__in=made[table])
        for pk in pointing.values_list(name, flat=True):
            found[pk] = _("has something on record since: %(what)s") % {"what": model._meta.verbose_name}
    return found
