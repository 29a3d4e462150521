"""A paper whose key is wrong: one question names the foreman, and two people answered it."""

from collections.abc import Callable

import pytest
import time_machine

from tests.cast import AT, Cast
from tests.training.quizzes.pool import paper, place, questions, right
from training.bank.models import QuestionVersion
from training.bank.operations import load_questions
from training.quizzes import operations
from training.quizzes.models import Paper, Sitting

IN_CHARGE, FOREMAN = "The person in charge of the isolation", "The foreman"


@pytest.fixture
def site(cast: Cast):
    """The cast with one question of each kind and the paper that asks them all, at AT."""
    load_questions(questions(1), at=AT)
    operations.load_papers([paper()], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def version() -> Callable[[str], QuestionVersion]:
    """Return the version of the question of a kind."""
    return lambda kind: QuestionVersion.objects.select_related("question").get(question__key=f"{kind}-1")


@pytest.fixture
def sit(site: Cast) -> Callable[..., Sitting]:
    """Sit and hand in the paper: all right, save what is answered otherwise by kind of question and text or value."""

    def hand_in(person, *, hand=True, **otherwise: str) -> Sitting:
        theory = Paper.objects.get()
        sitting = operations.open_sitting(person=person, paper=theory, seed=f"of {person.pk}", at=AT)
        answers = right(sitting)
        for kind, text in otherwise.items():
            position = place(sitting, kind)
            part = sitting.items.get(position=position).shown["parts"][0]
            ids = {option["text"]: option["id"] for option in part["options"]}
            answers[position] = {part["name"]: ids.get(text, text)}
        if not hand:
            operations.keep(sitting=sitting, answers=answers, at=AT)
            return sitting
        return operations.hand_in(sitting=sitting, answers=answers, at=AT)

    return hand_in
