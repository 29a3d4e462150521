"""Loading questions and papers, and the acts of a sitting: open, keep, hand in."""

from training.quizzes.operations.handing_in import Answers, AskAgain, Closed, hand_in, keep
from training.quizzes.operations.loading import ChangedContent, KeysOfTheSite, LoadRefused, load_papers, load_questions
from training.quizzes.operations.opening import MustWait, PoolTooSmall, open_sitting

__all__ = [
    "Answers",
    "AskAgain",
    "ChangedContent",
    "Closed",
    "KeysOfTheSite",
    "LoadRefused",
    "MustWait",
    "PoolTooSmall",
    "hand_in",
    "keep",
    "load_papers",
    "load_questions",
    "open_sitting",
]
