"""What the pages of amendments show."""

from training.amendments.queries.checks import Check, assembled, check, drawings, newest
from training.amendments.queries.lists import Index, Page, index, page, text, to_decide
from training.amendments.queries.previews import Preview, preview
from training.amendments.queries.words import label

__all__ = [
    "Check",
    "Index",
    "Page",
    "Preview",
    "assembled",
    "check",
    "drawings",
    "index",
    "label",
    "newest",
    "page",
    "preview",
    "text",
    "to_decide",
]
