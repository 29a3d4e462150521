"""A roster is undone: all of it, or nothing where somebody has done anything since."""

from datetime import date, datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext_lazy as _

from training.ledger.operations import write
from training.people.models import Person
from training.people.operations.accounts import Refused, check_reach
from training.rosters.models import Roster
from training.rosters.operations.applying import MADE, ChangedMeanwhile, Done, lock
from training.rosters.queries import in_the_way, undone_until
from training.rosters.queries.undoing import TABLES


class TooLate(Refused):
    """It was not applied, is undone already, or lies too long back."""

    def __init__(self) -> None:
        super().__init__(_("Nothing was undone: this roster is undone already, or was applied too long ago."))


class Depended(Refused):
    """Somebody it concerned has done or been given something since."""

    def __init__(self) -> None:
        super().__init__(_("Nothing was undone: something has been done since for the people named below."))


def undo(*, by: Person, roster: Roster, on: date, at: datetime) -> Roster:
    """Take back everything a roster did. Raises NotTheirs, TooLate, Depended or ChangedMeanwhile."""
    try:
        with transaction.atomic():
            return _undo(by, roster, on, at)
    except IntegrityError as fault:  # a number it gives back is somebody else's by now
        raise ChangedMeanwhile from fault


def _undo(by: Person, roster: Roster, on: date, at: datetime) -> Roster:
    check_reach(by, roster.employer, on=on)
    lock(roster.employer)
    kept = Roster.objects.select_for_update(of=("self",)).get(pk=roster.pk)
    until = undone_until(kept)
    if until is None or at > until:
        raise TooLate
    # A whole lock: nothing new may point at whoever is about to go.
    fresh = [done["person"] for done in kept.done if done["new"]]
    list(Person.objects.select_for_update().filter(pk__in=fresh).order_by("pk").values_list("pk"))
    if in_the_way(kept):
        raise Depended
    known = [done for done in kept.done if not done["new"]]
    for done in known:
        _take_back(done)
    Person.objects.filter(pk__in=fresh).delete()
    kept.done, kept.undone_at = [], at
    kept.save(update_fields=["done", "undone_at"])
    about = {"roster": str(kept.pk), "employer": kept.employer_id, "file": kept.digest, "removed": fresh}
    write(by=by.pk, act="roster undone", about=about | {"restored": [done["person"] for done in known]}, at=at)
    return kept


def _take_back(done: Done) -> None:
    for table, pk, was, _became in done["times"]:
        row = TABLES[table].objects.get(pk=pk)
        if was == MADE:
            row.delete()
            continue
        row.until_on = date.fromisoformat(was) if was else None
        row.save(update_fields=["until_on"])
    if done["was"]:
        person = Person.objects.get(pk=done["person"])
        for name, value in done["was"].items():
            setattr(person, name, value)
        person.save(update_fields=list(done["was"]))
