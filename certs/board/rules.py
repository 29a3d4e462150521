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


# So many people are walked through in a few milliseconds.
SHORT_WALK = 2_000


def is_walked(people: int, *, having: int, page: int) -> bool:
    """Say whether a walk by name through so many people fills a page with those having something before long.

    It takes as many steps to the next of them as there are people to one of them; the other way, to begin with all of
    them, takes at least one for each.
    """
    return people * page // max(having, page) < max(having, SHORT_WALK)
