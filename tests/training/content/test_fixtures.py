"""The content that ships: every question can be drawn, reached from what is printed, and marked."""

from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from training.calc.catalogue import CATALOGUE, compute
from training.content.load import Content, read_content
from training.questions.draw import draw
from training.questions.examine import examine
from training.questions.item import Item
from training.questions.marking import Response, mark
from training.questions.numbers import settled
from training.questions.rounding import exact, round_half_up
from training.questions.specs import Ask, QuestionSpec
from training.questions.units import convert

ROOT = Path(__file__).parents[3] / "fixtures" / "content"
SEEDS = range(6)


@cache
def content() -> Content:
    return read_content(ROOT)


def right(item: Item) -> dict[str, Response]:
    answers: dict[str, Response] = {}
    for part in item.parts:
        answers[part.name] = part.order or part.right or f"{part.shown} {part.hint}"
    return answers


def recomputed(question: QuestionSpec, item: Item) -> list[Fraction]:
    """Each numeric answer again, from the printed givens and the printed earlier answers alone."""
    printed = {
        given.name: (Fraction(shown.value), given.unit)
        for given, shown in zip(question.givens, item.givens, strict=True)
    }
    answers = []
    for spec, part in zip(question.parts, item.parts, strict=True):
        if spec.answer is None:
            continue
        values: dict[str, float] = {}
        for slot in CATALOGUE[spec.computation].inputs:
            value = convert(*printed[spec.inputs.get(slot.name, slot.name)], slot.unit)
            values[slot.name] = int(value) if slot.whole else float(value)
        unit = CATALOGUE[spec.computation].output.unit
        answers.append(settled(convert(exact(compute(spec.computation, values)), unit, part.unit), part.round))
        printed[f"part:{spec.name}"] = (Fraction(part.shown), part.unit)
    return answers


def test_content_has_questions_for_every_module() -> None:
    """Reading it raises nothing, and no module is without questions."""
    assert {module.slug for module in content().modules} == {question.topic for question in content().questions}


@pytest.mark.parametrize("seed", SEEDS)
def test_every_answer_is_reached_from_what_is_printed(seed: int) -> None:
    """A person with the sheet, and nothing else, comes within the tolerance."""
    for question in content().questions:
        item = draw(question, seed)
        numbers = [part for part in item.parts if part.computation]
        for part, value in zip(numbers, recomputed(question, item), strict=True):
            off = abs(round_half_up(value, part.decimals) - part.value)
            assert off <= part.tolerance(part.value), (question.key, part.name)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_right_answer_is_marked_right_and_every_mistake_by_name(seed: int) -> None:
    """Each question's own key has full marks; each of its wrong answers none."""
    for question in content().questions:
        item = draw(question, seed)
        assert all(found.share == 1 for found in mark(item, right(item))), question.key
        for part in item.parts:
            for wrong in part.wrong if part.ask is Ask.NUMBER else ():
                found = {one.name: one for one in mark(item, {part.name: wrong.shown})}[part.name]
                assert (found.share, found.misconception) == (0, wrong.misconception), question.key


def test_few_draws_are_thrown_away() -> None:
    """More than half rejected means ranges that do not suit the question."""
    for question in content().questions:
        assert examine(question, 20).rejection_rate <= Fraction(1, 2), question.key
