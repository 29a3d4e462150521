"""What a database holds, held against what clients were told: nothing lost, nothing twice, the chain whole."""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from uuid import uuid4

from django.db import connections

from certs.cards.models import Card
from certs.signoffs.models import Decision, ReceivedSheet, Signoff
from tests.faults.clients import SEPARATE, Book
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
    told, carded = dict(book.answers), set(book.carded)
    keys = {"sheet": set(book.sheets), "signature": set(book.signed), "decision": set(book.decided), "card for": carded}
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
    rows = {
        "sheet": ReceivedSheet.objects.using(using).values_list("pk", flat=True),
        "signature": Signoff.objects.using(using).values_list("pk", flat=True),
        "decision": Decision.objects.using(using).filter(granted=True).values_list("signoff_id", flat=True),
        "card for": Card.objects.using(using).values_list("evidence_id", flat=True),
    }
    for name, held in rows.items():
        there = {str(key) for key in held}
        gone += [f"{name} {key}" for key in keys[name] if key not in there]
    return gone


def faults(using: str) -> list[str]:
    """Name what is twice, what stands without its entry in the ledger or the other way about, and a broken chain."""
    entries = list(Entry.objects.using(using).values_list("act", "about"))
    rows = {
        ("sheet received", "sheet"): ReceivedSheet.objects.using(using).values_list("pk", flat=True),
        ("practical signed", "signoff"): Signoff.objects.using(using).values_list("pk", flat=True),
        ("practical decided", "signoff"): Decision.objects.using(using).values_list("signoff_id", flat=True),
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
    waiting = Card.objects.using(using).filter(evidence__scheme_issue__scheme__slug=SEPARATE)
    found += [f"{card} issued without a decision" for card in waiting.filter(evidence__decision=None)]
    fault = ledger.fault(using=using)
    return found + ([fault] if fault else [])
