"""Writing to the ledger, inside the transaction of the act itself."""

from collections.abc import Mapping
from datetime import UTC, datetime

from django.db import connection, transaction

from training.ledger.models import Entry
from training.ledger.rules import START, mark

# One writer at a time on PostgreSQL; SQLite's immediate transactions give the same.
LOCK = 7_263_401
# Who acts where nobody is signed in: whoever runs the machine.
NOBODY = 0


def write(*, by: int, act: str, about: Mapping[str, object], at: datetime) -> Entry:
    """Append one entry and return it. `about` holds ids and hashes, never names."""
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOCK])
        last = Entry.objects.order_by("-seq").first()
        seq, prev = (last.seq + 1, last.mark) if last else (1, START)
        facts = {"seq": seq, "at": at.astimezone(UTC), "by": by, "act": act, "about": about, "prev": prev}
        return Entry.objects.create(**facts, mark=mark(**facts))  # type: ignore[arg-type]
