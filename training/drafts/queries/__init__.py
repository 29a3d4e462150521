"""What the pages of drafts show."""

from training.drafts.queries.catalogue import Computation, Subject, catalogue, computation, computations
from training.drafts.queries.checks import LONGEST_KEY, Check, check, steps
from training.drafts.queries.draws import Preview, preview
from training.drafts.queries.lists import Index, VersionPage, index, latest_draft, text, version_page

__all__ = [
    "LONGEST_KEY",
    "Check",
    "Computation",
    "Index",
    "Preview",
    "Subject",
    "VersionPage",
    "catalogue",
    "check",
    "computation",
    "computations",
    "index",
    "latest_draft",
    "preview",
    "steps",
    "text",
    "version_page",
]
