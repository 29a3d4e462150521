"""Jobs of Northmoor, for the tests of this room."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from certs.jobs import operations
from certs.jobs.models import Facts, Job
from tests.cast import AT, ON, Cast, assemble
from tests.certs.factory import scheme_issue
from training.quizzes.models import Paper, PaperIssue

Make = Callable[..., Job]


@pytest.fixture
def cast(db: None) -> Cast:
    """Everyone, and the paper that their scheme asks for."""
    body = {"minutes": 60, "passing": "4/5", "waits_days": [1, 7, 30], "language": "en"}
    body |= {"cells": [{"topic": "setup", "level": "know", "count": 10}]}  # type: ignore[dict-item]
    paper = Paper.objects.create(slug="theory")
    PaperIssue.objects.create(paper=paper, version=1, title="Theory", body=body, digest="2" * 64, loaded_at=AT)
    return assemble()


@pytest.fixture
def make(cast: Cast) -> Make:
    """Keep a job of Northmoor for Ada's scheme."""

    def made(**changes: Any) -> Job:
        facts: dict[str, Any] = {
            "employer": cast.northmoor,
            "reference": "N-1",
            "place": "Down line",
            "first_on": ON + timedelta(days=1),
            "last_on": ON + timedelta(days=2),
            "bonds": 150,
            "each_day": True,
            "crew": None,
            "cold": False,
            "night": False,
            "cover": False,
            "wants": {scheme_issue().scheme: 1},
        }
        return operations.add(facts=Facts(**(facts | changes)), by=cast.sol, at=AT)

    return made
