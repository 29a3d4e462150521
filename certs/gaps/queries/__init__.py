"""The gap plan of an employer: `gathering` what it is made from, `page` how it is told."""

from certs.gaps.queries.gathering import gap_plan
from certs.gaps.queries.page import Page

__all__ = ["Page", "gap_plan"]
