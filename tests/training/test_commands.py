"""`manage.py draw` and `manage.py compute`: what they print, as lines and as JSON, and what they refuse."""

import json
import subprocess
import sys
import tomllib
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from training.calc.catalogue import CATALOGUE
from training.content.load import Content
from training.content.questions import read_question
from training.management.commands import draw
from training.questions.book import calculations

ROOT = Path(__file__).resolve().parents[2]

DROP = """
key = "drop-of-both"
version = 2
kind = "calculation"
topic = "setup"
level = "apply"
minutes = 3
prompt = "The leads are {length} each of {row}. A shot draws {current}. What do they take?"
computation = "leads.drop"
inputs = { resistance_per_metre = "row", lead_length = "length" }
given.row = { constant = "0.386", unit = "mohm/m", symbol = "R'", says = "resistance of a metre" }
given.length = { choice = [9, 12], unit = "m", symbol = "L" }
given.current = { from = 200, to = 260, step = 10, unit = "A", symbol = "I" }
answer = { unit = "V", decimals = 2, relative = "0.02", reason = "rounding of the row" }
wrong = [{ computation = "leads.drop.one_lead" }]
working = { lines = ["U = {row} x 2 x {length} x {current} = {answer}"], source = "IEC 60228:2004" }
"""
CHAIN = """
key = "loop-and-current"
version = 1
kind = "scenario"
topic = "firing"
level = "judge"
minutes = 6
prompt = "Pack {pack_resistance}, leads {lead_resistance}, earth {earth_resistance}, arc {arc_resistance}, rest {rest}."
given.pack_resistance = { constant = 20, unit = "mohm" }
given.lead_resistance = { constant = 10, unit = "mohm" }
given.earth_resistance = { from = 6, to = 14, step = 2, unit = "mohm" }
given.arc_resistance = { constant = 120, unit = "mohm" }
given.rest = { constant = "38.6", unit = "V" }
[[part]]
name = "loop"
prompt = "How much has the whole loop?"
computation = "circuit.loop_resistance"
answer = { unit = "mohm", decimals = 0, absolute = "0.5", reason = "a sum" }
wrong = [{ computation = "circuit.loop_resistance.no_arc" }]
sane = { from = 50, to = 500 }
working = { lines = ["They add up to {answer}."], source = "Kirchhoff's law" }
[[part]]
name = "better"
kind = "one"
prompt = "What lowers it?"
option = [{ text = "A bright contact", right = true }, { text = "Rust", says = "b" }, { text = "Paint", says = "c" }]
"""
NARROW = DROP.replace('"0.02"', '"0.0001"').replace("drop-of-both", "too-narrow")


def spec(text: str) -> Any:
    return read_question({"language": "en"} | tomllib.loads(text), book=calculations(), seeds=0)


def run(*arguments: str) -> list[str]:
    out = StringIO()
    call_command(*arguments, stdout=out)
    return out.getvalue().splitlines()


def rows(*arguments: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in run(*arguments, "--json")]


def refused(*arguments: str) -> str:
    with pytest.raises(CommandError) as caught:
        run(*arguments)
    assert caught.value.returncode == 1
    return str(caught.value)


@pytest.fixture
def content(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two questions in the place of the shipped ones."""
    questions = (spec(DROP), spec(CHAIN))
    both = Content(modules=(), questions=questions, checks=(), papers=(), schemes=())
    monkeypatch.setattr(draw, "read_content", lambda folder, seeds: both)


@pytest.mark.usefixtures("content")
class TestDraw:
    def test_json_of_a_calculation(self) -> None:
        """Everything of the item and its key, the same at every run."""
        (row,) = rows("draw", "drop-of-both", "--seed", "7")
        assert {name: row[name] for name in ("key", "version", "seed")} == {
            "key": "drop-of-both",
            "version": 2,
            "seed": "7",
        }
        assert [set(given) >= {"name", "symbol", "value", "unit"} for given in row["givens"]] == [True] * 3
        per_metre, length, current = (given["value"] for given in row["givens"])
        assert [given["unit"] for given in row["givens"]] == ["mohm/m", "m", "A"]
        assert f"{current} A" in row["prompt"].replace("\N{NO-BREAK SPACE}", " ")
        # Ohm's law by hand: two leads
        key = per_metre / 1000 * 2 * length * current
        assert row["answer"]["value"] == pytest.approx(key, rel=1e-9)
        assert row["answer"]["unit"] == "V"
        assert float(row["answer"]["shown"]) == pytest.approx(key, abs=0.005)
        assert row["answer"]["tolerance"] == pytest.approx(0.02 * key, rel=1e-9)
        (option,) = row["options"]
        assert option["misconception"] == "leads.drop.one_lead"
        assert option["value"] == pytest.approx(key / 2, rel=1e-9)
        assert option["unit"] == "V"
        assert row["working"][0].endswith(f"= {row['answer']['shown']}\N{NO-BREAK SPACE}V")
        assert rows("draw", "drop-of-both", "--seed", "7") == [row]

    def test_json_of_a_scenario(self) -> None:
        """Each part that has a number, and the last of them as the answer."""
        (row,) = rows("draw", "loop-and-current")
        assert [part["name"] for part in row["parts"]] == ["loop"]
        assert row["parts"][0]["answer"] == row["answer"]
        assert row["answer"]["value"] == 150 + row["givens"][2]["value"]

    def test_several(self) -> None:
        """Seeds in a row, one object a line."""
        assert [row["seed"] for row in rows("draw", "drop-of-both", "--seed", "3", "--draws", "4")] == list("3456")

    def test_words(self) -> None:
        """Prompt, answer with its tolerance, mistakes and working, for a terminal."""
        lines = run("draw", "drop-of-both")
        assert lines[0] == "drop-of-both v2, seed 1"
        assert any(line.startswith("    answer ") and "V (± 0." in line for line in lines)
        assert any(line.startswith("    wrong  ") for line in lines)
        assert "  loop: How much has the whole loop?" in run("draw", "loop-and-current")

    def test_list(self) -> None:
        """One line a kind, with its computations."""
        assert run("draw", "--list") == [
            "drop-of-both v2 (calculation, setup, apply): leads.drop",
            "loop-and-current v1 (scenario, firing, judge): circuit.loop_resistance",
        ]
        assert [row["key"] for row in rows("draw", "--list")] == ["drop-of-both", "loop-and-current"]
        assert rows("draw", "--list")[1]["computations"] == ["circuit.loop_resistance"]

    def test_check(self) -> None:
        """Rejections, range of keys, repeated draws, places of the right option."""
        drop, chain = run("draw", "--check", "--draws", "40")
        assert drop.startswith("drop-of-both: 40 draws, 27 the same as another, 0.0% rejected; answer 1.39 to 2.41 V")
        assert "loop 156 to 164 mΩ" in chain
        assert "better, right option in places [" in chain
        (row,) = rows("draw", "--check", "drop-of-both", "--draws", "40")
        assert row["different"] + row["collisions"] == row["draws"] == 40
        assert row["rejection_rate"] == 0
        assert row["parts"][0]["low"] == "1.39"
        assert rows("draw", "--check", "loop-and-current", "--draws", "40")[0]["parts"][1]["even"] is True

    @pytest.mark.parametrize(
        ("arguments", "sentence"),
        [
            (["no-such"], "No calculation or scenario has the key no-such. Run draw --list for those there are."),
            ([], "Give the key of a question, or --list, or --check."),
            (["drop-of-both", "--draws", "0"], "Give --draws a number from 1 up."),
        ],
    )
    def test_refuses(self, arguments: list[str], sentence: str) -> None:
        """In a sentence that says what to do."""
        assert refused("draw", *arguments) == sentence


class TestDrawOfBadContent:
    def test_a_question_that_cannot_be_drawn(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """The check and the draw both fail, and say why."""
        bad = Content(modules=(), questions=(spec(NARROW),), checks=(), papers=(), schemes=())
        monkeypatch.setattr(draw, "read_content", lambda folder, seeds: bad)
        for arguments in (["--check", "--draws", "5"], ["too-narrow"]):
            assert "too-narrow: no usable values in 201 draws: 201 times the tolerance is narrower" in refused(
                "draw", *arguments
            )

    def test_no_such_folder(self) -> None:
        """The folder is named."""
        assert "nowhere" in refused("draw", "--list", "--folder", "nowhere")


class TestCompute:
    def test_units_in_and_out(self) -> None:
        """Ohm's law by hand: 0.386 mohm/m, twice 9 m, 240 A."""
        asked = ["compute", "leads.drop", "current=0,24kA", "lead_length=900 cm", "resistance_per_metre=0.386 mohm/m"]
        assert rows(*asked) == [{"key": "leads.drop", "value": 1.66752, "unit": "V"}]
        assert rows(*asked, "--unit", "mV") == [{"key": "leads.drop", "value": 1667.52, "unit": "mV"}]
        assert run(*asked) == ["V = 1.66752 V"]

    def test_bare_numbers_are_in_the_unit_of_the_catalogue(self) -> None:
        """And temperatures are points on their scale: 68 degF is 20 degC, where copper's factor is 1."""
        assert rows("compute", "leads.copper_factor", "temperature=20")[0]["value"] == 1
        assert rows("compute", "leads.copper_factor", "temperature=68 degF")[0]["value"] == 1

    def test_list(self) -> None:
        """One line an entry; as JSON its inputs with unit and range, and its source."""
        assert len(run("compute", "--list")) == len(rows("compute", "--list")) == len(CATALOGUE)
        row = next(row for row in rows("compute", "--list") if row["key"] == "leads.resistance")
        assert [slot["name"] for slot in row["inputs"]] == ["resistance_per_metre", "lead_length"]
        assert row["inputs"][1] | {"says": ""} == {
            "name": "lead_length", "symbol": "L", "unit": "m", "says": "", "low": 0.1, "high": 200, "whole": False,
        }  # fmt: skip
        assert row["output"]["unit"] == "ohm"
        assert row["source"]
        line = next(line for line in run("compute", "--list") if line.startswith("leads.resistance("))
        assert "lead_length [m] 0.1..200" in line

    @pytest.mark.parametrize(
        ("arguments", "sentence"),
        [
            ([], "Give the key of a computation and its inputs, or --list."),
            (["leads.length"], "No computation has the key leads.length. Run compute --list for those there are."),
            (["leads.class5"], "Give area=... (cross-section of each lead) too."),
            (["leads.class5", "50mm2"], "50mm2: write name=value with one of area."),
            (["leads.class5", "size=50mm2"], "size=50mm2: write name=value with one of area."),
            (["hotwork.clear_radius", "d=1"], "d=1: write name=value with one of no input at all."),
            (["leads.class5", "area=fifty"], "area: No number begins this answer."),
            (["leads.class5", "area=50 mm"], "area is area; mm does not measure that."),
            (["leads.class5", "area=50mm2", "area=70mm2"], "area is given twice."),
            (
                ["leads.class5", "area=50"],
                "The cross-section of each lead must be from 1e-06 to 0.0005 m2; 50 was given.",
            ),
            (["leads.class5", "area=50mm2", "--unit", "V"], "The answer is resistance per length, which V does not"),
            (["leads.class5", "area=50mm2", "--unit", "furlong"], "furlong is not a unit known here."),
        ],
    )
    def test_refuses(self, arguments: list[str], sentence: str) -> None:
        """In a sentence that says what to do."""
        assert refused("compute", *arguments).startswith(sentence)

    def test_exit_code(self) -> None:
        """Nothing but the sentence, and 1."""
        command = [sys.executable, "manage.py", "compute", "leads.length"]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stdout) == (1, "")
        assert done.stderr.strip().endswith("Run compute --list for those there are.")
        assert "Traceback" not in done.stderr
