"""Reading the ledger."""

from datetime import timedelta

from training.ledger import rules
from training.ledger.models import Entry
from training.ledger.rules import Head, Link, first_fault


def head(*, using: str = "default") -> Head | None:
    """Return the last entry's number and mark; None while nothing is written."""
    last = Entry.objects.using(using).order_by("-seq").values_list("seq", "mark").first()
    return Head(*last) if last else None


def fault(kept: Head | None = None, *, using: str = "default") -> str:
    """Return a sentence naming the first broken entry; none for a whole chain that holds the kept head."""
    entries = Entry.objects.using(using).order_by("seq").iterator(chunk_size=2000)
    links = (Link(e.seq, e.at, e.by, e.act, e.about, e.prev, e.mark) for e in entries)
    return first_fault(links, kept=kept)


def steps_back() -> list[tuple[int, timedelta]]:
    """Return the number of each entry before which the server's clock was set back, and by how much."""
    return rules.steps_back(Entry.objects.order_by("seq").values_list("seq", "at").iterator(chunk_size=2000))
