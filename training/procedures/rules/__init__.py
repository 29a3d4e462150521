"""Where a reader stands, what differs between two revisions, the questions at hold points, faults as rows."""

from training.procedures.rules.compared import (
    Change,
    Changes,
    Difference,
    Mark,
    Piece,
    Refigured,
    Relisted,
    Reworded,
    StepChange,
    changes,
    difference,
    drawings,
    reworded,
    same_text,
)
from training.procedures.rules.faults import fault_rows
from training.procedures.rules.holds import Ask, Given, Hold, asks, holds, next_open, seed
from training.procedures.rules.standing import FAULT, Standing, due_on, is_fault, standing

__all__ = [
    "FAULT",
    "Ask",
    "Change",
    "Changes",
    "Difference",
    "Given",
    "Hold",
    "Mark",
    "Piece",
    "Refigured",
    "Relisted",
    "Reworded",
    "Standing",
    "StepChange",
    "asks",
    "changes",
    "difference",
    "drawings",
    "due_on",
    "fault_rows",
    "holds",
    "is_fault",
    "next_open",
    "reworded",
    "same_text",
    "seed",
    "standing",
]
