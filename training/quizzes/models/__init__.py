"""Papers, what is settled before a sitting, sittings, answers and marks."""

from training.quizzes.models.admissions import Admission
from training.quizzes.models.arrangements import MOST_BREAK, MOST_TIME, Accommodation, Retraining, Seen
from training.quizzes.models.papers import Paper, PaperIssue
from training.quizzes.models.remarks import Remark, RemarkedPart
from training.quizzes.models.sittings import Answer, PartMark, Sitting, SittingItem

__all__ = [
    "MOST_BREAK",
    "MOST_TIME",
    "Accommodation",
    "Admission",
    "Answer",
    "Paper",
    "PaperIssue",
    "PartMark",
    "Remark",
    "RemarkedPart",
    "Retraining",
    "Seen",
    "Sitting",
    "SittingItem",
]
