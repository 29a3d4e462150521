"""A roster is brought and read; nothing on the register changes yet."""

import hashlib
from collections.abc import Mapping
from datetime import date, datetime, timedelta

from django.db import transaction

from training.people.models import Employer, Person
from training.people.operations.accounts import check_reach
from training.rosters import rules
from training.rosters.models import Roster
from training.rosters.queries import UNDO_DAYS
from training.tables.code import read

# A file that was checked and not applied is forgotten after so long.
CHECKED_DAYS = 1


def bring(*, by: Person, employer: Employer, data: bytes, is_everyone: bool, on: date, at: datetime) -> Roster:
    """Keep the rows of a file until they are applied. Raises NotTheirs, Unreadable or NoHeads.

    An earlier file of the same person for the same employer that was not applied goes.
    """
    check_reach(by, employer, on=on)
    # Read before the transaction begins: nobody else's writing waits for a big file.
    rows = read(data)
    rules.heads(rows[0].cells)
    with transaction.atomic():
        forget(at=at)
        Roster.objects.filter(brought_by=by, employer=employer, applied_at=None).delete()
        return Roster.objects.create(
            employer=employer,
            brought_by=by,
            brought_at=at,
            digest=hashlib.sha256(data).hexdigest(),
            is_everyone=is_everyone,
            rows=[[row.line, list(row.cells)] for row in rows],
        )


@transaction.atomic
def answer(*, roster: Roster, answers: Mapping[int, int]) -> Roster:
    """Keep who a line means, by line: the number of a person, or 0 for a new one."""
    kept = Roster.objects.select_for_update().get(pk=roster.pk)
    kept.answers = {**kept.answers, **{str(line): person for line, person in answers.items()}}
    kept.save(update_fields=["answers"])
    return kept


@transaction.atomic
def drop(*, roster: Roster) -> None:
    """Forget a roster that was not applied; one that was stays."""
    Roster.objects.filter(pk=roster.pk, applied_at=None).delete()


@transaction.atomic
def forget(*, at: datetime) -> tuple[int, int]:
    """Delete files not applied within a day, and what undoing needs once it is too late; return how many of each."""
    stale = Roster.objects.filter(applied_at=None, brought_at__lt=at - timedelta(days=CHECKED_DAYS))
    deleted, _each = stale.delete()
    settled = Roster.objects.filter(applied_at__lt=at - timedelta(days=UNDO_DAYS)).exclude(done=[])
    return deleted, settled.update(done=[])
