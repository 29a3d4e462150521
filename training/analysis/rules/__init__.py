"""What may be said of a question or a paper from so many uses, and what deserves a person's look. Plain values only."""

from training.analysis.rules.corners import Corner, corners
from training.analysis.rules.papers import ALIKE_FROM, NEARLY_ALL, PAPER_FROM, Times, Trust, picture, times, trust
from training.analysis.rules.questions import (
    ENOUGH_FROM,
    PROVISIONAL_FROM,
    Answered,
    Behaviour,
    Choices,
    Flag,
    Options,
    Raised,
    Sample,
    behaviour,
    sample,
)

__all__ = [
    "ALIKE_FROM",
    "ENOUGH_FROM",
    "NEARLY_ALL",
    "PAPER_FROM",
    "PROVISIONAL_FROM",
    "Answered",
    "Behaviour",
    "Choices",
    "Corner",
    "Flag",
    "Options",
    "Raised",
    "Sample",
    "Times",
    "Trust",
    "behaviour",
    "corners",
    "picture",
    "sample",
    "times",
    "trust",
]
