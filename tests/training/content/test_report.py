"""Counting what a module holds, and the command that prints it."""

import json
from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from tests.training.procedures.content import FIGURE, module, step
from tests.training.questions.workbook import DROP, spec
from training.content.drawings import DrawingSpec
from training.content.load import Content
from training.content.procedures import ModuleSpec
from training.content.readability import reading_grade
from training.content.report import counts, prose

PIN = DrawingSpec(name="pin", title="Pin", description="A pin.", labels=(), width=640, height=480, svg="<svg/>")


def content(*modules: ModuleSpec) -> Content:
    return Content(modules=modules, questions=(), checks=(), papers=(), schemes=())


def printed(*arguments: str) -> str:
    out = StringIO()
    call_command("content_report", *arguments, stdout=out)
    return out.getvalue()


class TestCounts:
    def test_counts_each_part(self) -> None:
        """Two steps with one caution, three figures of which one has no source, one drawing."""
        bare = step("tug", "Tug", caution="", figures=(FIGURE, replace(FIGURE, source=" ")), drawing="pin")
        (count,) = counts(content(module(steps=(step(), bare), drawings=(PIN,))))
        assert (count.module, count.steps, count.cautions, count.drawings, count.questions) == ("setup", 2, 1, 1, 0)
        assert (count.figures, count.figures_with_source) == (3, 2)

    def test_counts_the_questions_of_hold_points_once(self) -> None:
        """One on the topic that is asked as well, one on another topic that is asked, one on neither."""
        asking = module(steps=(step(ask=("drop", "shots")),))
        bank = (spec(DROP, key="drop", topic="setup"), spec(DROP, key="shots", topic="firing"))
        other = spec(DROP, key="other", topic="firing")
        (count,) = counts(replace(content(asking), questions=(*bank, other)))
        assert count.questions == 2

    def test_grades_whole_sentences(self) -> None:
        """Purpose, text, why, caution and hold; no title and no list."""
        plain = module(steps=(step(),))
        assert prose(plain) == [
            "How to set up.", "Grind a bright spot and set the earth on it.",
            "All of the current goes through the earth.", "Never a chain.", "It does not rock.",
        ]  # fmt: skip
        (count,) = counts(content(plain))
        assert count.reading_grade == round(reading_grade(prose(plain), language="en"), 1)


class TestCommand:
    def test_prints_one_object_a_module(self) -> None:
        """A JSON list with the agreed keys, counts as the files of this repository hold them."""
        rows = json.loads(printed("--json"))
        assert [row["module"] for row in rows] == ["safety", "setup", "firing", "field-repair"]
        assert set(rows[0]) == {
            "module", "steps", "figures", "figures_with_source", "cautions", "drawings", "questions", "reading_grade",
        }  # fmt: skip
        folder = Path(__file__).parents[3] / "fixtures" / "content"
        for row in rows:
            text = (folder / row["module"] / "procedure.toml").read_text(encoding="utf-8")
            assert row["steps"] == text.count("[[step]]")
            assert row["figures"] == text.count("[[step.figure]]")
            assert row["drawings"] == len(list((folder / row["module"] / "drawings").glob("*.svg")))

    def test_prints_a_line_a_module(self) -> None:
        """For a terminal."""
        lines = printed().splitlines()
        assert len(lines) == 4
        assert lines[0].startswith("safety: ")

    def test_lists_the_mistakes_of_a_bad_folder(self, tmp_path: Path) -> None:
        """A report on refused content would mislead."""
        with pytest.raises(CommandError, match="is not a folder of content"):
            printed(str(tmp_path / "none"))
