"""Reading the ledger."""

from training.ledger.models import Entry
from training.ledger.rules import Link, first_fault


def fault() -> str:
    """Return a sentence naming the first broken entry, or an empty string for a whole chain."""
    entries = Entry.objects.order_by("seq").iterator(chunk_size=2000)
    return first_fault(Link(e.seq, e.at, e.by, e.act, e.about, e.prev, e.mark) for e in entries)
