"""The fields of a sheet."""

from uuid import uuid4

import pytest

from training.bank.forms import SheetForm
from training.bank.queries import SheetQuestion
from training.quizzes.queries import Sheet


def form(**part: object) -> SheetForm:
    facts = {"name": "answer", "prompt": "", "answer": "number", "unit": "V", "decimals": 2, "round": "nearest"}
    shown = {"prompt": "What is lost?", "givens": [], "parts": [facts | {"options": []} | part]}
    question = SheetQuestion(3, shown, {})
    sheet = Sheet(id=uuid4(), title="", due="", now="", zone="", questions=(question,))
    return SheetForm(sheet, {})


class TestNumber:
    @pytest.mark.parametrize(
        ("decimals", "way", "says"),
        [
            (2, "nearest", "Give 2 decimals."),
            (1, "nearest", "Give 1 decimal."),
            (0, "nearest", "To the nearest whole number."),
            (0, "up", "A whole number, rounded up."),
            (0, "down", "A whole number, rounded down."),
        ],
    )
    def test_says_how_to_round(self, decimals, way, says):
        assert form(decimals=decimals, round=way).fields["q3-answer"].help_text == says

    @pytest.mark.parametrize(
        ("unit", "prompt", "label"),
        [
            ("V", "", "Question 3: your answer (in V)"),
            ("", "", "Question 3: your answer"),
            ("mΩ", "What resistance?", "Question 3: What resistance? (in mΩ)"),
        ],
    )
    def test_is_labelled_so_that_the_list_of_errors_makes_sense(self, unit, prompt, label):
        assert form(unit=unit, prompt=prompt).fields["q3-answer"].label == label
