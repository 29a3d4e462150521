"""What a board of people and schemes comes to. A cell is a standing, or None where there is no card."""

from collections.abc import Mapping

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


def in_order(counts: Mapping[Standing | None, int]) -> tuple[tuple[Standing | None, int], ...]:
    """Return each standing that occurs with how often, in the order of ORDER."""
    return tuple((standing, counts[standing]) for standing in ORDER if counts.get(standing))
