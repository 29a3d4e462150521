"""What a day takes: the worked values of the trade reference, and the same sums done apart with scipy."""

import math

import pytest
from scipy import stats

from certs.jobs.rules import Kit, need
from certs.jobs.rules.kit import chargers
from training.calc.catalogue import OutOfRange

WARM = Kit(
    test_bonds=0, repeat_share=0.06, confidence=0.95, capacity_ah=14, usable_share=0.9, current=240, shot_time=1.75,
    charger_current=2, charging_hours=12,
)  # fmt: skip


def kit(**changes: float) -> Kit:
    facts = {name: getattr(WARM, name) for name in WARM.__slots__}
    return Kit(**(facts | changes))


class TestWorkedValues:
    """Negative binomial, and charge by current times time; computed and cross-checked with scipy."""

    @pytest.mark.parametrize(("bonds", "mean", "shots", "packs"), [(150, 160, 165, 2), (200, 213, 219, 3)])
    def test_six_per_cent(self, bonds: int, mean: int, shots: int, packs: int) -> None:
        """14 Ah at 90 % are 108 shots of 240 A for 1.75 s; 150 bonds are two packs, 200 are three."""
        found = need(bonds, WARM)
        assert (round(found.shots_mean), found.shots, found.per_charge, found.packs) == (mean, shots, 108, packs)

    def test_charging(self) -> None:
        """30 shots take 1.7676767676767677 h at 2 A, so 108 take 3.6 times that, and a night fills one pack."""
        found = need(150, WARM)
        assert found.charge_hours == pytest.approx(1.7676767676767677 * 108 / 30, rel=1e-12)
        assert found.chargers == 2

    def test_how_sure(self) -> None:
        """Two packs of 108 shots for 150 bonds, by scipy's binomial distribution."""
        assert need(150, WARM).packs_hold == pytest.approx(stats.binom.sf(149, 216, 0.94), rel=1e-12)

    def test_test_bonds_come_on_top(self) -> None:
        """Fifty of them make 200 of 150."""
        assert need(150, kit(test_bonds=50)).shots == 219


class TestCold:
    """The pack's resistance at +5 degC is 1.5829486223370755 times that at 20 degC (public test data of one cell)."""

    def test_fewer_shots(self) -> None:
        """20 mohm become 31.659; at 39.0 V with a 22 V arc 240 A become 206.08, and the wire burns longer."""
        found = need(150, kit(cells=5.0))
        loop = 17 / 240 + 0.020 * (1.5829486223370755 - 1)
        assert found.current == pytest.approx(17 / loop, rel=1e-9)
        assert found.shot_time == pytest.approx(1.75 * (240 * loop / 17) ** 2, rel=1e-9)
        assert found.per_charge == math.floor(14 * 3600 * 0.9 / (found.current * found.shot_time))
        assert found.per_charge < 108

    def test_warm_cells_change_nothing(self) -> None:
        """At the temperature of reference the shot is the warm one."""
        assert need(150, kit(cells=20.0)) == need(150, WARM)


class TestEdges:
    """Few and many."""

    @pytest.mark.parametrize(("packs", "hours", "there", "number"), [(3, 6.4, 12, 3), (3, 6.0, 12, 2), (3, 14, 12, 3)])
    def test_chargers(self, packs: int, hours: float, there: float, number: int) -> None:
        """One pack after the other in the time there is, and never less than one on a charger."""
        assert chargers(packs, hours, there) == number

    @pytest.mark.parametrize("wrong", [{"capacity_ah": 0.1}, {"current": 3000}, {"capacity_ah": 60, "shot_time": 0.05}])
    def test_refuses(self, wrong: dict[str, float]) -> None:
        """Outside the range in which the sums hold there is a sentence, no figure."""
        with pytest.raises(OutOfRange):
            need(150, kit(**wrong))
