"""Where cards lie on paper, and which side meets which when the paper is turned."""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from typing import TypeVar

T = TypeVar("T")


class Layout(StrEnum):
    """What a print of cards goes onto."""

    CARDS = "cards"
    TEN = "ten"
    EIGHT = "eight"

    @property
    def up(self) -> int:
        """How many cards lie on one side of the paper."""
        return {Layout.CARDS: 1, Layout.TEN: 10, Layout.EIGHT: 8}[self]


COLUMNS = 2


def sheets(cards: Sequence[T], layout: Layout) -> Iterator[tuple[list[T], list[T | None]]]:
    """Yield, for each sheet of paper, its cards in reading order and what lies on the back of it.

    The back is turned over its long edge, so that left and right change places: column 1 of the back lies behind
    column 2 of the front. Where the front ends in an empty place, so does the back, on the other side.
    """
    columns = 1 if layout is Layout.CARDS else COLUMNS
    for start in range(0, len(cards), layout.up):
        front = list(cards[start : start + layout.up])
        rows = [front[at : at + columns] for at in range(0, len(front), columns)]
        back = [one for row in rows for one in reversed([*row, *[None] * (columns - len(row))])]
        yield front, back
