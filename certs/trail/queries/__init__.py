"""Reading the ledger for people: acts in words, records by name."""

from certs.trail.queries.acts import ACT_WORDS
from certs.trail.queries.page import Asked, Page, Row, page, rows
from certs.trail.queries.records import KINDS

__all__ = ["ACT_WORDS", "KINDS", "Asked", "Page", "Row", "page", "rows"]
