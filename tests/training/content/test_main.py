"""The check run by hand and by hooks."""

from pathlib import Path

import pytest

from tests.training.questions.workbook import SEVERAL
from training.content.__main__ import main

PAPER = '[[paper]]\nslug = "x"\nversion = 1\ntitle = "X"\nminutes = 0\npass = "0.8"\n'


class TestMain:
    def test_counts_what_it_read(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """An empty folder has nothing wrong in it."""
        assert main([str(tmp_path)]) == 0
        assert capsys.readouterr().out.splitlines() == ["0 modules", "0 questions", "0 checks", "0 papers", "0 schemes"]

    def test_tells_which_pools_are_small(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """That is advice, not a mistake."""
        cell = '[[paper.cell]]\ntopic = "safety"\nlevel = "know"\ncount = 1\n'
        (tmp_path / "papers.toml").write_text(PAPER.replace("minutes = 0", "minutes = 9") + cell)
        (tmp_path / "safety").mkdir()
        (tmp_path / "safety" / "questions.toml").write_text('language = "en"\n[[question]]' + SEVERAL)
        assert main([str(tmp_path)]) == 0
        assert capsys.readouterr().out.splitlines()[-1] == "thin: x: safety know draws 1 of 1; 10 are wanted"

    def test_lists_every_mistake_and_fails(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """So that a hook stops the commit."""
        (tmp_path / "papers.toml").write_text(PAPER)
        assert main([str(tmp_path)]) == 1
        lines = capsys.readouterr().out.splitlines()
        assert lines[-1] == "2 mistakes; nothing was loaded."
        assert all(line.startswith("papers.toml: paper[x].") for line in lines[:-1])

    def test_asks_for_a_folder(self, capsys: pytest.CaptureFixture[str]) -> None:
        """Without one it says how it is called."""
        assert main([]) == 2
        assert "Name one folder" in capsys.readouterr().out
