"""A topic with four questions for practice, and a module of its name."""

import pytest
import time_machine

from tests.cast import AT, ON, Cast
from tests.training.procedures.content import module
from tests.training.quizzes.pool import paper, questions
from training.bank.operations import load_questions
from training.procedures.operations import load
from training.quizzes.operations import load_papers
from training.refreshers import operations
from training.refreshers.models import Drill


@pytest.fixture
def site(cast: Cast):
    """The cast, with questions, a paper and two modules loaded, at AT."""
    load_questions(questions(), at=AT)
    load_papers([paper()], at=AT)
    load([module(), module("firing", title="Firing", order=2)], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def drill(site: Cast) -> Drill:
    """Ada's questions of today."""
    return operations.open_drill(person=site.ada, topic="setup", language="en", seed="s1", on=ON, at=AT)
