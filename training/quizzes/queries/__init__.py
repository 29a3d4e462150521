"""What the pages of papers and sittings show: one function a page, a fixed number of queries each."""

from training.quizzes.queries.papers import (
    PaperRow,
    PapersPage,
    SittingRow,
    Terms,
    clock,
    earned,
    index,
    issue_of,
    passed_people,
    passed_sitting,
    passing,
    row,
)
from training.quizzes.queries.results import Result, result
from training.quizzes.queries.sheets import Sheet, sheet

__all__ = [
    "PaperRow",
    "PapersPage",
    "Result",
    "Sheet",
    "SittingRow",
    "Terms",
    "clock",
    "earned",
    "index",
    "issue_of",
    "passed_people",
    "passed_sitting",
    "passing",
    "result",
    "row",
    "sheet",
]
