"""Deleting what is past its term."""

from datetime import datetime

from django.db import transaction

from certs.retention.operations.erasing import erase_all
from certs.retention.queries import over, people_over
from training.ledger.operations import NOBODY, write
from training.rosters.operations import forget


@transaction.atomic
def purge(*, at: datetime) -> dict[str, int]:
    """Delete what is past its term and erase the names of people whose evidence is; return how many, by kind.

    The ledger gets one entry with the counts, and one for each person.
    """
    counts = {}
    for kind, found in over(at=at).items():
        counts[kind.value] = sum(rows.count() for rows, _column in found)
        for rows, _column in found:
            rows.delete()
    counts["rosters"] = sum(forget(at=at))
    people = people_over(at=at)
    erase_all(people, by=NOBODY, ground="term over", at=at)
    counts["people"] = len(people)
    if any(counts.values()):
        write(by=NOBODY, act="records purged", about={kind: count for kind, count in counts.items() if count}, at=at)
    return counts
