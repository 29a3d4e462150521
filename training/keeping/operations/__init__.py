"""Making copies and bringing them back, guarding rows written once, closing the site for maintenance."""

from training.keeping.operations.analyze import analyze
from training.keeping.operations.backup import CannotCopy, back_up, manifests, thin_out
from training.keeping.operations.guards import guard, loosen, loosened
from training.keeping.operations.maintenance import close, flag, reopen
from training.keeping.operations.probe import probe
from training.keeping.operations.restore import CannotRestore, restore

__all__ = [
    "CannotCopy",
    "CannotRestore",
    "analyze",
    "back_up",
    "close",
    "flag",
    "guard",
    "loosen",
    "loosened",
    "manifests",
    "probe",
    "reopen",
    "restore",
    "thin_out",
]
