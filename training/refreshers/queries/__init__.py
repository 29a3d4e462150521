"""Reading what is remembered, what is due, and the questions of a drill."""

from training.refreshers.queries.drills import Sheet, opened, pool, sheet
from training.refreshers.queries.lists import Page, due, page
from training.refreshers.queries.mails import Letter, letters
from training.refreshers.queries.memories import Outlook, Refresher, Topic, outlooks, refreshers, reviews, topics

__all__ = [
    "Letter",
    "Outlook",
    "Page",
    "Refresher",
    "Sheet",
    "Topic",
    "due",
    "letters",
    "opened",
    "outlooks",
    "page",
    "pool",
    "refreshers",
    "reviews",
    "sheet",
    "topics",
]
