"""How a batch of cards is cut into steps, and how far it is."""

from dataclasses import dataclass
from enum import StrEnum

# Cards of one step, whole sheets of ten and of eight: a step takes a second or two and little memory.
STEP = 40
# A batch is put together in one go at its end, in memory.
MOST = 600


class State(StrEnum):
    """Where a batch is."""

    PRINTING = "printing"
    STOPPED = "stopped"
    MADE = "made"
    NOTHING = "nothing to print"


@dataclass(frozen=True, slots=True)
class Progress:
    """How many cards a batch asked for, how many are printed, how many could not be."""

    asked: int
    printed: int
    refused: int

    @property
    def waiting(self) -> int:
        """How many cards are still to be printed."""
        return self.asked - self.printed - self.refused


def state(progress: Progress, *, stopped: bool, made: bool) -> State:
    """Say where a batch is; one that was put together is made, whatever else happened."""
    if made:
        return State.MADE
    if not progress.waiting and not progress.printed:
        return State.NOTHING
    return State.STOPPED if stopped else State.PRINTING
