"""Questions written out as TOML and read back. TOML 1.0.0 as Python's own reader knows it (PEP 680)."""

import tomllib
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.content.load import read_content
from training.content.questions import read_question
from training.content.written import written
from training.questions.book import calculations
from training.questions.specs import QuestionSpec

CONTENT = Path(__file__).parents[3] / "fixtures" / "content"
QUESTION = """
key = "drop"
version = 1
kind = "calculation"
topic = "setup"
level = "apply"
minutes = 3
prompt = "{current} through {resistance}?"
computation = "circuit.voltage_drop"
given.current = { choice = [200, 250], unit = "A" }
given.resistance = { constant = 20.0, unit = "mohm" }
answer = { unit = "V", decimals = 2, relative = "0.02", reason = "covers rounding" }
working = { lines = ["U = I R"], source = "Ohm's law, IEC 60050-131" }
"""


def question(**changed: object) -> QuestionSpec:
    data = tomllib.loads(QUESTION, parse_float=Decimal) | changed
    return read_question(data, book=calculations(), seeds=0)


def read_back(text: str) -> QuestionSpec:
    """Read a file of one question as content is read."""
    file = tomllib.loads(text, parse_float=Decimal)
    (table,) = file["question"]
    return read_question(table | {"language": file["language"]}, book=calculations(), seeds=0)


def test_every_question_of_the_content_comes_back() -> None:
    """All kinds, with every table an author may write."""
    specs = read_content(CONTENT, seeds=0).questions
    assert len(specs) > 50
    for spec in specs:
        again = read_back(written(spec.as_json()))
        assert (again, again.digest) == (spec, spec.digest)


def test_reads_like_the_files_of_the_content() -> None:
    """Own values first, then a table each for givens, answer and working."""
    assert written(question(safety=True).as_json()).splitlines() == [
        'language = "en"',
        "",
        "[[question]]",
        'key = "drop"',
        "version = 1",
        'kind = "calculation"',
        'topic = "setup"',
        'level = "apply"',
        "minutes = 3",
        "safety = true",
        'prompt = "{current} through {resistance}?"',
        'computation = "circuit.voltage_drop"',
        "[question.given.current]",
        "choice = [200, 250]",
        'unit = "A"',
        "[question.given.resistance]",
        'unit = "mohm"',
        "constant = 20.0",
        "[question.answer]",
        'unit = "V"',
        "decimals = 2",
        'round = "nearest"',
        'reason = "covers rounding"',
        'relative = "0.02"',
        "[question.working]",
        "lines = [",
        '  "U = I R",',
        "]",
        'source = "Ohm\'s law, IEC 60050-131"',
    ]


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1).filter(str.strip))
def test_any_text_comes_back(text: str) -> None:
    """Quotes, backslashes, line breaks, control characters, signs beyond the basic plane."""
    text = text.replace("{", "(")
    spec = question(working={"lines": [text], "source": text})
    assert read_back(written(spec.as_json())) == spec


@pytest.mark.parametrize("digits", ["200", "0", "-0", "-0.0", "20.50", "-12.5", "1E+2", "1e-3", "+5", "007", "1_000"])
def test_digits_come_back_as_typed(digits: str) -> None:
    """A number keeps its decimals, which decide how it is printed."""
    spec = question(given={"current": {"constant": digits, "unit": "A"}, "resistance": {"constant": 1, "unit": "ohm"}})
    assert read_back(written(spec.as_json())) == spec


def test_a_name_that_is_no_bare_key_is_quoted() -> None:
    """Only the names of inputs are not held to small letters when a question is read; TOML asks quotes for the rest."""
    table = tomllib.loads(written(_with_input("leads ends").as_json()))["question"][0]
    assert table["inputs"] == {"leads ends": "current"}


def _with_input(name: str) -> QuestionSpec:
    spec = question()
    return replace(spec, parts=(replace(spec.parts[0], inputs={name: "current"}),))
