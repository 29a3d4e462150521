"""A day's shots against scipy and worked values."""

import pytest
from scipy import stats

from training.calc import day
from training.calc.catalogue import compute


class TestShots:
    """Negative binomial and Poisson; worked values checked with scipy."""

    @pytest.mark.parametrize(
        ("bonds", "mean", "enough", "probability"),
        [(150, 160, 165, 0.9597463561320172), (200, 213, 219, 0.9585422860072466)],
    )
    def test_six_per_cent(self, bonds: int, mean: int, enough: int, probability: float) -> None:
        """Six per cent repeated: the average and what is enough on 19 days of 20."""
        assert round(day.shots_mean(bonds, 0.06)) == mean
        assert day.shots_enough(bonds, 0.06, 0.95) == enough
        assert day.enough_probability(enough, bonds, 0.06) == pytest.approx(probability, rel=1e-9)
        assert day.enough_probability(enough - 1, bonds, 0.06) < 0.95

    def test_average_is_not_enough(self) -> None:
        """160 shots for 150 bonds are enough on under two days of three."""
        assert day.enough_probability(160, 150, 0.06) == pytest.approx(0.6345486993586058, rel=1e-9)

    def test_poisson(self) -> None:
        """The short cut gives 165 too."""
        assert day.shots_enough_poisson(150, 0.06, 0.95) == 165

    @pytest.mark.parametrize("bonds", [1, 20, 150, 400])
    @pytest.mark.parametrize("share", [0.01, 0.06, 0.2])
    def test_search(self, bonds: int, share: float) -> None:
        """The smallest number by plain search with scipy's binomial distribution."""
        shots = bonds
        while stats.binom.sf(bonds - 1, shots, 1 - share) < 0.95:
            shots += 1
        assert day.shots_enough(bonds, share, 0.95) == shots


class TestPacks:
    """Packs at 108 shots a charge, and the example question; worked by hand."""

    @pytest.mark.parametrize(("bonds", "packs"), [(150, 2), (200, 3)])
    def test_enough(self, bonds: int, packs: int) -> None:
        """With 95 per cent confidence."""
        assert day.packs_enough(bonds, 0.06, 0.95, 108) == packs

    def test_wrong_answers(self) -> None:
        """220 bonds, 6 per cent, 100 a charge."""
        values = {"bonds": 220.0, "repeat_share": 0.06, "shots_per_charge": 100.0}
        assert compute("day.packs", values) == 3
        assert compute("day.packs.rounded_down", values) == 2
        assert compute("day.packs.spare", values) == 4
