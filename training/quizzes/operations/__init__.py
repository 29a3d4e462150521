"""Loading papers, what is settled before a sitting, and the acts of one: open, keep, take a break, hand in."""

from training.quizzes.operations.arranging import NotArranged, accommodate, admit, note_seen, record_retraining
from training.quizzes.operations.breaks import NoBreak, begin_break, end_break
from training.quizzes.operations.handing_in import Answers, Closed, Kept, OnBreak, hand_in, keep
from training.quizzes.operations.loading import load_papers
from training.quizzes.operations.marking_again import hold_back, mark_again
from training.quizzes.operations.opening import MustRetrain, MustWait, NotAdmitted, NotYet, PoolTooSmall, open_sitting

__all__ = [
    "Answers",
    "Closed",
    "Kept",
    "MustRetrain",
    "MustWait",
    "NoBreak",
    "NotAdmitted",
    "NotArranged",
    "NotYet",
    "OnBreak",
    "PoolTooSmall",
    "accommodate",
    "admit",
    "begin_break",
    "end_break",
    "hand_in",
    "hold_back",
    "keep",
    "load_papers",
    "mark_again",
    "note_seen",
    "open_sitting",
    "record_retraining",
]
