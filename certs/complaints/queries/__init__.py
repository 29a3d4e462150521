"""Complaints: `loading` gets one with its steps, `persons` says who may handle it, `lists` and `pages` show them."""

from certs.complaints.queries.lists import Index, OnHome, Row, index, on_home
from certs.complaints.queries.loading import (
    complaints,
    correctable,
    handler_of,
    is_gone,
    open_about,
    past_of,
    steps_told,
    written_about,
)
from certs.complaints.queries.pages import Page, PastLine, page
from certs.complaints.queries.persons import (
    able_ones,
    administrators,
    askable,
    eyes_of,
    known_of,
    nameable,
    ties_of,
)

__all__ = [
    "Index",
    "OnHome",
    "Page",
    "PastLine",
    "Row",
    "able_ones",
    "administrators",
    "askable",
    "complaints",
    "correctable",
    "eyes_of",
    "handler_of",
    "index",
    "is_gone",
    "known_of",
    "nameable",
    "on_home",
    "open_about",
    "page",
    "past_of",
    "steps_told",
    "ties_of",
    "written_about",
]
