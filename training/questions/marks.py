"""What marking gives back."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class PartMark:
    """The mark of one part: ``share`` of it (0 to 1), what was noticed, and what the candidate is told.

    ``flags``: blank, no-unit, wrong-dimension, power-of-ten, sign, figures, carried-forward, unsafe.
    ``misconception`` is the key of a recognised mistake; ``read`` the answer as understood.
    """

    name: str
    share: Fraction
    flags: tuple[str, ...] = ()
    misconception: str | None = None
    says: str = ""
    read: str = ""
