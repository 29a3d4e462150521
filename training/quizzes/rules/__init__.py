"""When a person may sit a paper, how long it runs, what a marked paper comes to. Plain values only."""

from training.quizzes.rules.clock import (
    ADMITTED_FOR,
    GRACE,
    admitted,
    due,
    ended_at,
    minutes,
    overdue,
    used,
)
from training.quizzes.rules.outcomes import Marked, Outcome, figure, outcome, profile
from training.quizzes.rules.turns import Page
from training.quizzes.rules.waits import MANY_MISSES, MISSES_MONTHS, Ended, free_on, many_misses, misses, topics_left

__all__ = [
    "ADMITTED_FOR",
    "GRACE",
    "MANY_MISSES",
    "MISSES_MONTHS",
    "Ended",
    "Marked",
    "Outcome",
    "Page",
    "admitted",
    "due",
    "ended_at",
    "figure",
    "free_on",
    "many_misses",
    "minutes",
    "misses",
    "outcome",
    "overdue",
    "profile",
    "topics_left",
    "used",
]
