"""Reading how the database is kept."""

from training.keeping.queries.promises import DEVIATIONS, LIMITS, PROMISES
from training.keeping.queries.proof import Broken, applied, known, prove, written_once
from training.keeping.queries.state import Keeping, free, health, keeping, last_copy, library, setting_faults, untied

__all__ = [
    "DEVIATIONS",
    "LIMITS",
    "PROMISES",
    "Broken",
    "Keeping",
    "applied",
    "free",
    "health",
    "keeping",
    "known",
    "last_copy",
    "library",
    "prove",
    "setting_faults",
    "untied",
    "written_once",
]
