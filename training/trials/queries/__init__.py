"""What the page shows: figures, sentences and pictures of one situation, ready to print."""

from training.trials.queries.page import Page, page
from training.trials.queries.typed import UNITS, set_to, typed

__all__ = ["UNITS", "Page", "page", "set_to", "typed"]
