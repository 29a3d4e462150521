"""What the pages of panels show: one function a page, a fixed number of queries each."""

from training.panels.queries.lists import Line, Listing, index, trainers
from training.panels.queries.pages import Page, page
from training.panels.queries.rounds import asked, fingerprint, judged, on_panel, pool, result
from training.panels.queries.sheets import Sheet, sheet

__all__ = [
    "Line",
    "Listing",
    "Page",
    "Sheet",
    "asked",
    "fingerprint",
    "index",
    "judged",
    "on_panel",
    "page",
    "pool",
    "result",
    "sheet",
    "trainers",
]
