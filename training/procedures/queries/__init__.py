"""What the pages of procedures show: one function a page, a fixed number of queries each."""

from training.procedures.queries.compared import Compared, compared
from training.procedures.queries.holds import HoldPoint, HoldPoints, hold_points, standing
from training.procedures.queries.lists import (
    Line,
    demand_words,
    in_force,
    index,
    standing_words,
    topics,
    unread,
    unread_by,
)
from training.procedures.queries.pages import Note, Page, page
from training.procedures.queries.texts import Drawing, Figure, Step, Text, text

__all__ = [
    "Compared",
    "Drawing",
    "Figure",
    "HoldPoint",
    "HoldPoints",
    "Line",
    "Note",
    "Page",
    "Step",
    "Text",
    "compared",
    "demand_words",
    "hold_points",
    "in_force",
    "index",
    "page",
    "standing",
    "standing_words",
    "text",
    "topics",
    "unread",
    "unread_by",
]
