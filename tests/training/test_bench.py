"""`manage.py bench`: what it prints, not how fast the machine is."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench import assembling, board, cards, responses, run
from tests.bench.measure import Figure, at_the_peak, side_by_side
from tests.bench.run import main

ROOT = Path(__file__).resolve().parents[2]


class TestCommand:
    def test_is_reached_through_the_one_door(self) -> None:
        """Without settings in the environment, as a newcomer types it; an unknown name costs no time."""
        bare = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
        command = [sys.executable, "manage.py", "bench", "nothing"]
        done = subprocess.run(command, cwd=ROOT, env=bare, capture_output=True, text=True, check=False)
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.startswith("No bench is called nothing.")

    def test_draw_prints_one_object_a_line(self, capsys: pytest.CaptureFixture[str]) -> None:
        """A ratio with its goal, whatever the ratio."""
        assert main(["draw", "--json"]) in {0, 1}
        (row,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert set(row) == {"name", "ratio", "goal", "value", "unit"}
        assert (row["name"], row["unit"]) == ("draw", "ms")
        assert row["ratio"] > 0
        assert row["value"] > 0

    def test_statistics_prints_time_and_memory(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Two figures of the same responses, here of few sittings."""
        monkeypatch.setattr(run, "benches", lambda: {"statistics": lambda: responses.in_blocks(5_000)})
        assert main(["statistics", "--json"]) in {0, 1}
        rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert [(row["name"], row["unit"]) for row in rows] == [("statistics", "ms"), ("statistics memory", "KiB")]
        assert all(row["ratio"] > 0 and row["value"] > 0 for row in rows)

    def test_cards_prints_time_and_memory(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Files, one PDF, sheets and their bytes, a floor and memory; here of few cards."""
        monkeypatch.setattr(run, "benches", lambda: {"cards": lambda: cards.printing(count=3, naive=1)})
        assert main(["cards", "--json"]) in {0, 1}
        rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        units = ["ms a card", "ms a card", "bytes", "ms a card", "bytes", "ms a card", "MiB"]
        assert [row["unit"] for row in rows] == units
        assert all(row["ratio"] > 0 and row["value"] > 0 for row in rows[:-1])

    def test_papers_prints_time_and_use(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """A ratio to a draw by chance, then for each paper the most and the least used question, and what failed."""
        monkeypatch.setattr(run, "benches", lambda: {"papers": lambda: assembling.put_together(5)})
        assert main(["papers", "--json"]) in {0, 1}
        rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert rows[0]["name"] == "papers"
        assert [row["name"].rpartition("-theory ")[2] for row in rows[1:4]] == [
            "most used",
            "least used",
            "not put together",
        ]
        assert all(row["ratio"] == 0 for row in rows if row["name"].endswith("not put together"))

    @pytest.mark.django_db
    def test_board_prints_each_page_and_its_growth(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """The page of a register, here a small one, as it is asked; every page is found and answered."""
        monkeypatch.setattr(board, "ROUNDS", 3)
        monkeypatch.setattr(run, "benches", lambda: {"board": lambda: board.measured(2)})
        assert main(["board", "--json"]) in {0, 1}
        rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert [row["name"] for row in rows][:2] == ["board", "board growth"]
        assert all(row["ratio"] > 0 for row in rows)

    @pytest.mark.parametrize(("ratio", "code", "word"), [(1.5, 0, "meets"), (2.5, 1, "misses")])
    def test_says_whether_the_goal_is_met(
        self, ratio: float, code: int, word: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """In words, and by the exit code."""
        monkeypatch.setattr(run, "benches", lambda: {"one": lambda: (Figure("one", ratio, 2.0, 12.5, "ms"),)})
        assert main([]) == code
        assert f"one: {ratio} times the reference ({word} the goal of 2.0); 12.5 ms" in capsys.readouterr().out

    def test_names_the_benches_there_are(self, capsys: pytest.CaptureFixture[str]) -> None:
        """An unknown name is refused with the known ones."""
        assert main(["nothing"]) == 2
        assert "No bench is called nothing. There are: board, cards, crewing, draw" in capsys.readouterr().err


class TestSideBySide:
    def test_is_the_ratio_of_the_two(self) -> None:
        """Ten times the work takes several times as long."""
        figure = side_by_side("sum", lambda: sum(range(200_000)), lambda: sum(range(20_000)), goal=1)
        assert 2 < figure.ratio < 50


class TestAtThePeak:
    def test_is_the_ratio_of_the_most_held(self) -> None:
        """A list made again and again holds no more than once."""

        def often() -> None:
            for _ in range(5):
                bytes(100_000)

        figure = at_the_peak("bytes", often, lambda: bytes(1_000_000), goal=1)
        assert figure.ratio == pytest.approx(0.1, abs=0.05)
        assert figure.value == pytest.approx(100_000 / 1024, rel=0.5)
