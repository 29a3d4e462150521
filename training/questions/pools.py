"""Where a question is used: on examination papers, in practice and at hold points, or in both."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Any

_NUMERIC = ("calculation", "scenario")
_DRAWN = ("from", "choice")


class Pool(StrEnum):
    """What a question is kept for."""

    PAPERS = "papers"
    PRACTICE = "practice"  # hold points, practice and refreshers
    BOTH = "both"

    @property
    def for_papers(self) -> bool:
        """Say whether an examination paper may draw it."""
        return self is not Pool.PRACTICE

    @property
    def for_practice(self) -> bool:
        """Say whether a hold point, practice or a refresher may ask it."""
        return self is not Pool.PAPERS


def usual(kind: str, *, drawn: bool) -> Pool:
    """Return the pool of a question that says none.

    Seen in practice, a worded question is spent for a paper; a number whose values are ``drawn`` anew is not.
    """
    return Pool.BOTH if drawn and kind in _NUMERIC else Pool.PAPERS


def pool_of(body: Mapping[str, Any]) -> Pool:
    """Return the pool of a question stored as ``QuestionSpec.as_json`` gives it, which leaves the usual one out."""
    if "pool" in body:
        return Pool(body["pool"])
    return usual(body["kind"], drawn=any(way in given for given in body.get("given", {}).values() for way in _DRAWN))
