"""What ships as content: nothing without its source, its caution, its words, or something at the end of its link."""

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from training.content.load import Content, read_content
from training.content.procedures import ModuleSpec
from training.content.report import counts

ROOT = Path(__file__).parents[2] / "fixtures" / "content"
# Ninth grade: readers of 14 to 15 years (Kincaid et al. 1975).
HARDEST = 9
# How a source says where it is from; a number of the trade that has none says just that.
TAGS = ("read", "from memory", "common practice", "worked out", "inferred", "textbook", "measured")


@cache
def content() -> Content:
    """Reading raises on a name that leads nowhere: steps, drawings, papers, modules, practicals."""
    return read_content(ROOT, seeds=0)


@pytest.fixture(params=[path.parent.name for path in sorted(ROOT.glob("*/procedure.toml"))])
def module(request: pytest.FixtureRequest) -> ModuleSpec:
    return next(one for one in content().modules if one.slug == request.param)


def links(module: ModuleSpec) -> Iterator[str]:
    """Every step of every module that a question or a check of this one names."""
    for question in content().questions:
        yield from question.steps if question.topic == module.slug else ()
    yield from (check.step for check in content().checks if check.module == module.slug)


def test_every_figure_says_where_it_is_from(module: ModuleSpec) -> None:
    """A source, and how it was come by."""
    wrong = [
        (step.slug, figure.says)
        for step in module.steps
        for figure in step.figures
        if not any(tag in figure.source.lower() for tag in TAGS)
    ]
    assert wrong == []


def test_every_step_carries_a_caution(module: ModuleSpec) -> None:
    """Each step of this work has a hazard: to a person, to the track or pipe, or to the joint someone relies on."""
    assert [step.slug for step in module.steps if not step.caution.strip()] == []


def test_every_drawing_has_words(module: ModuleSpec) -> None:
    """A title, a description that is more than the title, a label to every number."""
    for drawing in module.drawings:
        assert drawing.title.strip(), drawing.name
        assert len(drawing.description.split()) > len(drawing.title.split()), drawing.name
        numbers = {int(number) for number in re.findall(r">(\d+)</text>", drawing.svg)}
        assert numbers == set(range(1, len(drawing.labels) + 1)), drawing.name


def test_every_drawing_is_shown_and_every_link_resolves(module: ModuleSpec) -> None:
    """Steps name drawings, questions and checks name steps."""
    assert {step.drawing for step in module.steps} - {""} == {drawing.name for drawing in module.drawings}
    known = {f"{one.slug}.{step.slug}" for one in content().modules for step in one.steps}
    assert set(links(module)) <= known
    assert set(links(module))


def test_hold_points_ask_about_their_own_step(module: ModuleSpec) -> None:
    """Five steps or more of each module ask, and each question asked names the step it is asked at."""
    steps = {question.key: question.steps for question in content().questions}
    asked = [(f"{module.slug}.{step.slug}", key) for step in module.steps for key in step.ask]
    assert [(step, key) for step, key in asked if step not in steps[key]] == []
    assert len({step for step, _ in asked}) >= 5


def test_every_module_reads_easily() -> None:
    """Ninth grade or easier."""
    assert {count.module: count.reading_grade for count in counts(content()) if count.reading_grade > HARDEST} == {}


def test_there_are_drawings_enough() -> None:
    """Every module has some, eighteen at least in all."""
    drawn = [len(module.drawings) for module in content().modules]
    assert min(drawn) >= 2
    assert sum(drawn) >= 18
