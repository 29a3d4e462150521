"""Where an amendment stands."""

from enum import StrEnum


class State(StrEnum):
    """From the first change to the decision."""

    WRITING = "being written"
    PROPOSED = "waits for approval"
    GRANTED = "approved"
    REFUSED = "refused"


def state(*, proposed: bool, granted: bool | None) -> State:
    """Return where an amendment stands; `granted` is None until somebody decides."""
    if granted is None:
        return State.PROPOSED if proposed else State.WRITING
    return State.GRANTED if granted else State.REFUSED
