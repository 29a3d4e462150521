"""Which page an answer comes from, and whether another page kept a newer one."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Page:
    """The page an answer comes from: its own id, the turn of each answer as it knows it, and what it flags.

    The turn of an answer counts how often it was kept.
    """

    id: str
    turns: Mapping[int, int]
    flags: Mapping[int, bool]

    def is_behind(self, place: int, *, turn: int, kept_by: str) -> bool:
        """Say whether another page kept a newer answer than the one this page knows.

        What a page kept itself is never news to it, even when the reply was lost on the way.
        """
        return turn > self.turns.get(place, 0) and kept_by != self.id
