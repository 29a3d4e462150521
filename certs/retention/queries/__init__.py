"""What is held on a person, until when it has to be, and what stands against erasing it."""

from certs.retention.queries.against import ToErase, against, evidence_until, is_erased, to_erase
from certs.retention.queries.held import Held, Own, copy, held, looked, own, rows_of
from certs.retention.queries.over import over, people_over, summary
from certs.retention.queries.words import KIND_WORDS, PERSON_WORDS, WHY_WORDS, how_long

__all__ = [
    "KIND_WORDS",
    "PERSON_WORDS",
    "WHY_WORDS",
    "Held",
    "Own",
    "ToErase",
    "against",
    "copy",
    "evidence_until",
    "held",
    "how_long",
    "is_erased",
    "looked",
    "over",
    "own",
    "people_over",
    "rows_of",
    "summary",
    "to_erase",
]
