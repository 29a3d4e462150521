"""Reading rosters: what one would do, in words; what undoing meets; the roster of today as a file."""

from training.rosters.queries.files import PRESENT_HEADS, empty_lines, present_lines
from training.rosters.queries.pages import Applied, Checked, Waiting, applied, brought, checked, without_sign_in
from training.rosters.queries.register import fingerprint, planned, register_of
from training.rosters.queries.undoing import UNDO_DAYS, InTheWay, in_the_way, undone_until

__all__ = [
    "PRESENT_HEADS",
    "UNDO_DAYS",
    "Applied",
    "Checked",
    "InTheWay",
    "Waiting",
    "applied",
    "brought",
    "checked",
    "empty_lines",
    "fingerprint",
    "in_the_way",
    "planned",
    "present_lines",
    "register_of",
    "undone_until",
    "without_sign_in",
]
