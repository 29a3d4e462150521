"""Reading practicals: who waits, why somebody may not sign, the sheet, and the record."""

from certs.signoffs.queries.persons import (
    Ties,
    approval_sentences,
    case,
    case_sentences,
    counting,
    decision_case,
    decision_sentences,
    exception_for,
    is_staff,
    leave_of,
    sentences,
    ties,
    usable_exceptions,
)
from certs.signoffs.queries.records import Read, Record, bonds_of, record, records
from certs.signoffs.queries.sheets import BondLine, SheetPage, Worked, bounds_of, marks, sheet, work_out
from certs.signoffs.queries.waits import Asked, Undecided, Waiter, Waiting, waiting

__all__ = [
    "Asked",
    "BondLine",
    "Read",
    "Record",
    "SheetPage",
    "Ties",
    "Undecided",
    "Waiter",
    "Waiting",
    "Worked",
    "approval_sentences",
    "bonds_of",
    "bounds_of",
    "case",
    "case_sentences",
    "counting",
    "decision_case",
    "decision_sentences",
    "exception_for",
    "is_staff",
    "leave_of",
    "marks",
    "record",
    "records",
    "sentences",
    "sheet",
    "ties",
    "usable_exceptions",
    "waiting",
    "work_out",
]
