"""Writing rosters: brought, answered, applied, undone, forgotten."""

from training.rosters.operations.applying import AlreadyApplied, ChangedMeanwhile, NotReady, apply
from training.rosters.operations.bringing import answer, bring, drop, forget
from training.rosters.operations.undoing import Depended, TooLate, undo

__all__ = [
    "AlreadyApplied",
    "ChangedMeanwhile",
    "Depended",
    "NotReady",
    "TooLate",
    "answer",
    "apply",
    "bring",
    "drop",
    "forget",
    "undo",
]
