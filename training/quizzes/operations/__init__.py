"""Loading papers, and the acts of a sitting: open, keep, hand in."""

from training.quizzes.operations.handing_in import Answers, Closed, hand_in, keep
from training.quizzes.operations.loading import load_papers
from training.quizzes.operations.opening import MustWait, PoolTooSmall, open_sitting

__all__ = [
    "Answers",
    "Closed",
    "MustWait",
    "PoolTooSmall",
    "hand_in",
    "keep",
    "load_papers",
    "open_sitting",
]
