"""The figures of a sheet against values worked out elsewhere, through the computation that a sheet goes through.

Sources. Four wires: R = (V+ - V-)/(2 I), worked by hand; the thermal voltage falls out. Guard band: rectangular
distribution, a/sqrt(3) (JCGM 100:2008, 4.3.7), guard equal to the expanded uncertainty (ILAC-G8:09/2019, binary
rule). Run of good bonds: (1 - C)^(1/n), the one-sided bound of Clopper and Pearson, Biometrika 26 (1934) 404-413,
here also from statsmodels. Rail: mass and area of 60E1, EN 13674-1:2011. Uncertainty of a joint: the law of
propagation (JCGM 100:2008, 5.1.2) against a draw of a million sets (JCGM 101:2008, 7). How often a crew passes: the
binomial distribution of scipy, and its values worked by hand.
"""

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from certs.signoffs.queries import passing
from certs.signoffs.rules import Bond, Bounds, Finding, finding, outcome, proves
from training.calc.pack import Verdict

BOUNDS = Bounds(
    joint_uohm=Decimal(120),
    pack_floor=Decimal("38.00"),
    meter_percent=Decimal("0.5"),
    meter_digits=2,
    bonds=3,
    share=Fraction(4, 5),
)


def found(*, pack: str = "39.60", forward: int = 730, reversed_: int = -470, current: int = 10) -> Finding:
    read = Bond(
        pin_lot="L-7",
        pack_v=Decimal(pack),
        visual_good=True,
        hammer_good=True,
        forward_uv=Decimal(forward),
        reversed_uv=Decimal(reversed_),
        current_a=Decimal(current),
    )
    return finding(read, BOUNDS)


class TestFourWires:
    @pytest.mark.parametrize(
        ("forward", "reversed_", "current", "uohm", "offset"),
        [(730, -470, 10, "60.00", 130), (450, -150, 5, "60.00", 150)],
    )
    def test_both_polarities_cancel_the_offset(self, forward, reversed_, current, uohm, offset):
        """One polarity alone would say 73 and 90 micro-ohm."""
        seen = found(forward=forward, reversed_=reversed_, current=current)
        assert (seen.joint_uohm, seen.offset_uv) == (Decimal(uohm), offset)

    def test_gives_the_length_of_rail(self):
        """200 micro-ohm is as much as 6.97 m of 60E1 at 0.22 micro-ohm metre."""
        seen = found(forward=2000, reversed_=-2000)
        assert seen.joint_uohm == 200
        assert seen.rail_m == (Decimal("6.97"), Decimal("5.68"), Decimal("9.02"))


class TestGuardBand:
    def test_is_the_expanded_uncertainty_at_the_floor(self):
        """0.5 % of 38 V and two digits of 0.01 V: a = 0.21 V, U = 2 a / sqrt(3) = 0.2425 V."""
        assert BOUNDS.guard_v == pytest.approx(0.24248711305964282, rel=1e-12)
        assert BOUNDS.go_v == Decimal("38.25")

    @pytest.mark.parametrize(
        ("pack", "verdict"),
        [
            ("38.25", Verdict.GO),
            ("38.24", Verdict.UNPROVEN),
            ("38.20", Verdict.UNPROVEN),  # would be go with 1.645 u
            ("38.00", Verdict.UNPROVEN),
            ("37.76", Verdict.UNPROVEN),
            ("37.75", Verdict.NO_GO),
        ],
    )
    def test_parts_go_from_not_proven_from_no_go(self, pack, verdict):
        assert found(pack=pack).pack is verdict


class TestRunOfGoodBonds:
    @pytest.mark.parametrize(("bonds", "percent"), [(3, "36.8"), (5, "54.9"), (10, "74.1"), (20, "86.0"), (59, "95.0")])
    def test_proves_no_more_than_the_exact_bound(self, bonds, percent):
        """Cut to one decimal: twenty good bonds prove 86.089 %, so the sheet does not say 86.1."""
        proves = outcome([], [found()] * bonds, needed=Fraction(0)).proves
        assert proves == Decimal(percent)
        assert float(proves) / 100 <= 0.05 ** (1 / bonds) < float(proves) / 100 + 0.001

    def test_counts_a_bad_bond(self):
        """18 of 20: the one-sided 95 % bound is the lower end of the two-sided 90 % interval."""
        findings = [found()] * 18 + [found(forward=4000)] * 2
        low, _high = proportion_confint(18, 20, alpha=0.10, method="beta")
        proves = float(outcome([], findings, needed=Fraction(0)).proves) / 100
        assert proves <= low < proves + 0.001


class TestUncertainty:
    @pytest.mark.parametrize(("forward", "reversed_", "current"), [(730, -470, 10), (450, -150, 5), (90, -60, 2)])
    def test_covers_twice_the_spread_of_a_million_sets(self, forward: int, reversed_: int, current: int) -> None:
        """Gain, current and each display err at random within what the scheme allows; its U is twice their spread."""
        draw = np.random.default_rng(1)
        gain, flow = (draw.uniform(-0.01, 0.01, 1_000_000) for _ in range(2))
        first, second = (draw.uniform(-0.5, 0.5, 1_000_000) for _ in range(2))
        volts = (forward * (1 + gain) + first) - (reversed_ * (1 + gain) + second)
        spread = float(np.std(volts / (2 * current * (1 + flow))))
        seen = found(forward=forward, reversed_=reversed_, current=current)
        assert float(seen.sure_uohm) == pytest.approx(2 * spread, rel=0.01)

    def test_by_hand(self) -> None:
        """60 micro-ohm at 10 A: sqrt((60 x 1 %)^2 x 2 + (0.5 / 10)^2 / 2) x 2 / sqrt(3) = 0.98."""
        assert found().sure_uohm == Decimal("0.98")

    def test_says_when_it_reaches_over_the_limit(self) -> None:
        """119 and 121 micro-ohm lie within 2 micro-ohm of 120; 60 does not. The limit judges the value itself."""
        under, over = found(forward=1190, reversed_=-1190), found(forward=1210, reversed_=-1210)
        assert (under.near, under.good, over.near, over.good) == (True, True, True, False)
        assert not found().near


class TestHowOftenACrewPasses:
    @pytest.mark.parametrize(("bad", "percent"), [(1, "90.4"), (5, "59.9"), (10, "34.9"), (20, "10.7")])
    def test_ten_bonds_all_good(self, bad: int, percent: str) -> None:
        """(1 - p)^10, worked by hand: .9044, .5987, .3487, .1074."""
        assert passing(10, bad) == Decimal(percent)

    @pytest.mark.parametrize("bonds", [1, 3, 5, 22])
    @pytest.mark.parametrize("bad", [0, 1, 7, 20, 50])
    def test_is_the_binomial_distribution(self, bonds: int, bad: int) -> None:
        """No bad one among so many; a second try multiplies the chance to fail."""
        once = float(stats.binom.pmf(0, bonds, bad / 100))
        assert float(passing(bonds, bad)) == pytest.approx(100 * once, abs=0.051)
        assert float(passing(bonds, bad, tries=2)) == pytest.approx(100 * (1 - (1 - once) ** 2), abs=0.051)


class TestWhatARunShows:
    def test_ten_of_ten_shows_at_least_74_percent(self) -> None:
        """Not 100: the one-sided exact bound at 95 %, .7411 worked by hand as .05^(1/10)."""
        assert proves(10, 10) == Decimal("74.1")

    @pytest.mark.parametrize(("good", "bonds"), [(18, 20), (19, 20), (2, 3), (9, 10), (0, 5)])
    def test_with_bad_ones_is_the_exact_bound(self, good: int, bonds: int) -> None:
        """Both tails of 5 % make the 90 % interval of statsmodels, of which this is the lower end, cut."""
        low = float(proportion_confint(good, bonds, alpha=0.1, method="beta")[0]) if good else 0.0
        assert 0 <= 100 * low - float(proves(good, bonds)) < 0.1
