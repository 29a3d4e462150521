"""What waits: appeals and corrections, the oldest first, and what was decided, the newest first."""

from dataclasses import dataclass

from training.reviews.queries import appeals, corrections


@dataclass(frozen=True, slots=True)
class Index:
    """The lists of those who correct keys and answer appeals."""

    waiting: list[appeals.AppealRow]
    answered: list[appeals.AppealRow]
    proposed: list[corrections.CorrectionRow]
    decided: list[corrections.CorrectionRow]


def index() -> Index:
    """Return the page of what waits: four queries."""
    return Index(
        waiting=appeals.index(answered=False),
        answered=appeals.index(answered=True),
        proposed=corrections.index(waits=True),
        decided=corrections.index(waits=False),
    )
