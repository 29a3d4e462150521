"""A procedure whose second revision asks two questions."""

import pytest
import time_machine

from tests.cast import AT, Cast
from tests.training.procedures.content import asks, module, revised
from tests.training.quizzes.pool import questions
from training.bank.operations import load_questions
from training.procedures.models import Revision
from training.procedures.operations import load


@pytest.fixture
def site(cast: Cast):
    """The cast, with the questions and both revisions loaded, at AT."""
    load_questions(questions(), at=AT)
    load([module()], at=AT)
    load([revised(revision=asks("answer", "stops"))], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def asking(site: Cast) -> Revision:
    """The revision that asks."""
    return Revision.objects.select_related("module").get(number=2)
