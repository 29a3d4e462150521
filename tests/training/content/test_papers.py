"""What a paper may ask for beside its cells, and papers that cannot be put together."""

import tomllib
from decimal import Decimal
from pathlib import Path

import pytest

from training.content.load import read_content
from training.content.mistakes import ContentErrors, Mistake
from training.content.papers import DatumSpec, PaperSpec, papers
from training.content.table import Table

PAPER = """
[[paper]]
slug = "theory"
version = 1
title = "Theory"
minutes = 40
pass = "0.8"
{more}
[[paper.cell]]
topic = "safety"
level = "know"
count = 2
"""
OPTIONAL = {"invigilated", "retraining_first", "part_months", "data"}
DATUM = '[[paper.data]]\nsays = "Density of steel"\nsymbol = "ρ"\nvalue = "7850"\nunit = "kg/m³"\nsource = "EN 13674-1"'


def read(more: str = "") -> tuple[PaperSpec, list[Mistake]]:
    """Read one paper and its mistakes."""
    mistakes: list[Mistake] = []
    data = tomllib.loads(PAPER.format(more=more), parse_float=Decimal)
    (spec,) = papers(Table(data, file="papers.toml", path="", mistakes=mistakes))
    return spec, mistakes


class TestOptional:
    def test_is_left_out_of_what_is_stored_when_it_is_not_asked_for(self) -> None:
        """The fingerprint of a paper that was loaded before stays the same."""
        spec, mistakes = read()
        assert mistakes == []
        assert not OPTIONAL & set(spec.as_json())
        written, _none = read("invigilated = false\nretraining_first = false\npart_months = 0")
        assert written.digest == spec.digest

    def test_is_stored_when_it_is(self) -> None:
        """An invigilator, retraining first, topics carried for six months, a data sheet."""
        spec, mistakes = read(f"invigilated = true\nretraining_first = true\npart_months = 6\n{DATUM}")
        assert mistakes == []
        assert spec.data == (
            DatumSpec(says="Density of steel", symbol="ρ", value="7850", unit="kg/m³", source="EN 13674-1"),
        )
        assert {name: spec.as_json()[name] for name in OPTIONAL - {"data"}} == {
            "invigilated": True,
            "retraining_first": True,
            "part_months": 6,
        }
        assert spec.as_json()["data"][0]["value"] == "7850"

    @pytest.mark.parametrize(
        ("more", "reason"),
        [
            ("part_months = 61", "paper[theory].part_months: must be from 0 to 60"),
            ('invigilated = "yes"', "paper[theory].invigilated: must be true or false"),
            ('[[paper.data]]\nsays = "x"\nvalue = "1"', "paper[theory].data[1].source: is missing"),
            (f"{DATUM}\n{DATUM}", "paper[theory].data: 'Density of steel' is written 2 times"),
            (f"{DATUM}\ncolour = 1", "paper[theory].data[1].colour: is not a key known here"),
        ],
    )
    def test_is_refused_in_words(self, more: str, reason: str) -> None:
        """With the key it stands at."""
        assert any(reason in str(mistake) for mistake in read(more)[1])


QUESTION = """
[[question]]
key = "{key}"
version = 1
kind = "one"
topic = "safety"
level = "know"
{enemies}
minutes = 1
prompt = "Who says that the line is dead?"
option = [
  {{ text = "The person in charge", right = true }},
  {{ text = "{key}", says = "x" }},
  {{ text = "N", says = "y" }},
]
working = {{ lines = ["It is handed over in writing."], source = "common practice, no source" }}
"""


class TestEnemies:
    def folder(self, path: Path, enemies: str) -> Path:
        """Write a paper of two questions and two questions for it."""
        (path / "safety").mkdir()
        texts = [QUESTION.format(key=key, enemies=enemies) for key in ("first", "second")]
        (path / "safety" / "questions.toml").write_text('language = "en"\n' + "".join(texts), encoding="utf-8")
        (path / "papers.toml").write_text(PAPER.format(more=""), encoding="utf-8")
        return path

    def test_that_leave_a_paper_short_are_a_mistake_of_the_content(self, tmp_path: Path) -> None:
        """Two questions for two places that may not stand together: nothing is loaded."""
        with pytest.raises(ContentErrors) as caught:
            read_content(self.folder(tmp_path, 'enemies = ["set:line"]'))
        (mistake,) = caught.value.mistakes
        assert str(mistake).startswith(
            "papers.toml: paper[theory].cell: No paper can be put together: safety know wants 1"
        )

    def test_that_do_not_are_none(self, tmp_path: Path) -> None:
        """The same questions without the mark."""
        assert len(read_content(self.folder(tmp_path, "")).questions) == 2
