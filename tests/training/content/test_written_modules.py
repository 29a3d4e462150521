"""Modules written out as TOML and read back. TOML 1.0.0 as Python's own reader knows it (PEP 680)."""

import tomllib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.training.procedures.content import FIGURE, module, step
from training.content.demands import Demand, DemandSpec, Overdue
from training.content.mistakes import ContentErrors
from training.content.procedures import Bound, read_module
from training.content.written_modules import tables, written_module

FILES = sorted((Path(__file__).parents[3] / "fixtures" / "content").glob("*/procedure.toml"))


def read_back(text: str):
    return read_module(tomllib.loads(text, parse_float=Decimal), drawings=None)


def test_there_are_four_files() -> None:
    """Or the next check would pass on nothing."""
    assert [file.parent.name for file in FILES] == ["field-repair", "firing", "safety", "setup"]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.parent.name)
def test_a_file_of_the_content_comes_back_letter_by_letter(file: Path) -> None:
    """So that what a trainer changes on the site is the only difference a reviewer sees."""
    text = file.read_text(encoding="utf-8")
    spec = read_back(text)
    assert written_module(spec.as_json()) == text
    assert read_back(written_module(spec.as_json())).digest == spec.digest


def test_every_part_of_a_step_comes_back() -> None:
    """A drawing, two ends of a figure and what is asked at the hold point among them."""
    ends = replace(FIGURE, bound=Bound.BETWEEN, value="1.50", value_to="2", unit="V")
    asking = step(drawing="leads", figures=(FIGURE, ends), ask=("drop", "pack-go"))
    spec = module(steps=(asking, step("pin", tools=())), field_limit=())
    assert read_back(written_module(spec.as_json())) == spec


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1).filter(str.strip))
def test_any_text_comes_back(text: str) -> None:
    """Quotes, backslashes, line breaks, control characters, signs beyond the basic plane."""
    spec = module(purpose=text, tools=(text,), steps=(step(text=text, tools=(text, text)),))
    assert read_back(written_module(spec.as_json())) == spec


def test_what_the_site_holds_is_read_as_a_file_is() -> None:
    """One set of checks, whichever way a module comes."""
    spec = module(steps=(step(ask=("drop",)), step("pin")))
    assert read_module(tables(spec.as_json())) == spec
    body = replace(spec, title="x" * 121, steps=(step(why=" ", drawing="none"),)).as_json()
    with pytest.raises(ContentErrors) as refusal:
        read_module(tables(body))
    assert {one.key for one in refusal.value.mistakes} == {"title", "step[earth].why", "step[earth].drawing"}


@pytest.mark.parametrize(
    "demand",
    [
        DemandSpec(demand=Demand.STANDS, within_days=None, overdue=Overdue.DUE, questions=()),
        DemandSpec(demand=Demand.READ, within_days=30, overdue=Overdue.DUE, questions=()),
        DemandSpec(demand=Demand.ANSWER, within_days=14, overdue=Overdue.STOPS, questions=("drop", "pack-go")),
    ],
    ids=lambda spec: spec.demand,
)
def test_what_it_asks_of_holders_comes_back(demand: DemandSpec) -> None:
    """Only what belongs to the demand is written."""
    spec = module(revision=demand)
    assert read_back(written_module(spec.as_json())) == spec
