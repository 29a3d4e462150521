"""What a board of people and schemes comes to. A cell is a standing, or None where there is no card."""

from collections import Counter
from collections.abc import Iterable, Sequence

from certs.cards.rules import Standing

# From what may be worked under to what may not.
ORDER: tuple[Standing | None, ...] = (
    Standing.CURRENT,
    Standing.DUE,
    Standing.WORK_NOT_CONFIRMED,
    Standing.PROCEDURE_OVERDUE,
    Standing.SUSPENDED,
    Standing.LAPSED,
    Standing.WITHDRAWN,
    Standing.REPLACED,
    Standing.NOT_YET_VALID,
    None,
)
# The newest card of a day is in force and has no successor, so nobody looks for these.
UNASKED = frozenset({Standing.REPLACED, Standing.NOT_YET_VALID})


def counts(cells: Iterable[Standing | None]) -> tuple[tuple[Standing | None, int], ...]:
    """Return each standing that occurs with how often, in the order of ORDER."""
    found = Counter(cells)
    return tuple((standing, found[standing]) for standing in ORDER if found[standing])


def keeps(row: Sequence[Standing | None], wanted: Standing | None) -> bool:
    """Say whether a person stays on the board when one standing is asked for: any of the schemes will do."""
    return wanted in row


def may_work(row: Iterable[Standing | None]) -> bool:
    """Say whether a person may work under at least one scheme."""
    return any(standing is not None and standing.holds for standing in row)
