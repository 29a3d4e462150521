"""What the pages about questions show: the answers of everyone, and no name of anyone. One function a page."""

from training.analysis.queries.facilities import Facility, facilities
from training.analysis.queries.papers import Page, PaperLine, index, page
from training.analysis.queries.questions import Report, report

__all__ = ["Facility", "Page", "PaperLine", "Report", "facilities", "index", "page", "report"]
