"""The stream of draws."""

import pytest

from training.questions.stream import Draw


class TestDraw:
    def test_gives_the_golden_values(self) -> None:
        """The stream is the same on every machine and every Python (values from an independent prototype)."""
        draw = Draw("golden", 1)
        assert [draw.below(1000) for _ in range(6)] == [768, 903, 607, 60, 79, 816]
        assert "".join(Draw("golden", 1).shuffle("ABCDEFGH")) == "BCEFHDGA"

    def test_differs_by_key_and_by_seed(self) -> None:
        """Neither can stand in for the other."""
        firsts = {tuple(Draw(key, seed).below(10**9) for _ in range(2)) for key in ("a", "b") for seed in ("1", "2")}
        assert len(firsts) == 4

    def test_throws_away_what_would_favour_small_numbers(self) -> None:
        """With a count just above half the span about half of the blocks are thrown away."""
        draw = Draw("fair", 1)
        numbers = [draw.below((1 << 63) + 1) for _ in range(20)]
        assert draw._counter > 20
        assert max(numbers) <= 1 << 63

    @pytest.mark.parametrize("things", [[], ["only"]])
    def test_leaves_a_short_list_alone(self, things: list[str]) -> None:
        """Nothing to shuffle, nothing drawn."""
        assert Draw("short", 1).shuffle(things) == things

    def test_picks_each_thing_about_equally(self) -> None:
        """6000 picks of six things: chi-square below 20.5, its one-in-a-thousand point (NIST/SEMATECH e-Handbook)."""
        draw = Draw("dice", 1)
        rolls = [draw.pick("abcdef") for _ in range(6000)]
        assert sum((rolls.count(face) - 1000) ** 2 / 1000 for face in "abcdef") < 20.515
