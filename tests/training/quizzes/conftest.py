"""A site with a small pool of questions and one paper."""

import pytest
import time_machine

from tests.cast import AT, Cast
from tests.training.quizzes.pool import paper, questions
from training.bank.operations import load_questions
from training.quizzes import operations
from training.quizzes.models import Paper


@pytest.fixture
def site(cast: Cast):
    """The cast, with questions and a paper loaded, at AT."""
    load_questions(questions(), at=AT)
    operations.load_papers([paper()], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def theory(site: Cast) -> Paper:
    """The paper."""
    return Paper.objects.get()
