"""What a database holds, held against what clients were told: nothing lost, nothing twice, the chain whole."""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from uuid import UUID, uuid4

from django.db import connections

from certs.cards.models import Card
from certs.signoffs.models import ReceivedSheet, Signoff
from tests.faults.clients import Book
from training.config.settings import database
from training.ledger import queries as ledger
from training.ledger.models import Entry
from training.quizzes.models import Answer


@contextmanager
def reading(url: str) -> Iterator[str]:
    """Open the database of a site beside the test's own; yield the alias by which it is asked.

    Nothing else in this process may have the file open: the first to close it would drop the locks of all (POSIX).
    """
    alias = f"drill-{uuid4().hex}"
    connections.databases[alias] = {
        **connections.databases["default"],
        "OPTIONS": {},
        **database(url),
        "CONN_MAX_AGE": 0,
    }
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias], connections.databases[alias]


def lost(book: Book, using: str) -> list[str]:
    """Name every act that was acknowledged and is not there as it was sent."""
    # What was told is read before the database and what was tried after it: clients go on meanwhile.
    told, sheets, signed = dict(book.answers), set(book.sheets), set(book.signed)
    answers = {
        (str(sitting), position): int(given["answer"])
        for sitting, position, given in Answer.objects.using(using).values_list(
            "item__sitting", "item__position", "given"
        )
    }
    gone = [
        f"answer {number} of {place}, held: {answers.get(place)}"
        for place, number in told.items()
        if not number <= answers.get(place, -1) <= book.tried[place]
    ]
    for name, keys, model in (("sheet", sheets, ReceivedSheet), ("signature", signed, Signoff)):
        held = set(model.objects.using(using).values_list("pk", flat=True))
        gone += [f"{name} {key}" for key in keys if UUID(key) not in held]
    carded = set(Card.objects.using(using).values_list("evidence_id", flat=True))
    return gone + [f"card for {key}" for key in signed if UUID(key) not in carded]


def faults(using: str) -> list[str]:
    """Name what is twice, what stands without its entry in the ledger or the other way about, and a broken chain."""
    entries = list(Entry.objects.using(using).values_list("act", "about"))
    rows = {
        ("sheet received", "sheet"): ReceivedSheet.objects.using(using).values_list("pk", flat=True),
        ("practical signed", "signoff"): Signoff.objects.using(using).values_list("pk", flat=True),
        ("card issued", "evidence"): Card.objects.using(using).values_list("evidence_id", flat=True),
    }
    found = []
    for (act, name), keys in rows.items():
        noted = Counter(about[name] for done, about in entries if done == act)
        held = Counter(str(key) for key in keys)
        found += [
            f"{act}: {key} noted {noted[key]}, held {held[key]}"
            for key in noted | held
            if noted[key] != 1 or held[key] != 1
        ]
    fault = ledger.fault(using=using)
    return found + ([fault] if fault else [])
