"""The figures of a sheet against values worked out elsewhere, through the computation that a sheet goes through.

Sources. Four wires: R = (V+ - V-)/(2 I), worked by hand; the thermal voltage falls out. Guard band: rectangular
distribution, a/sqrt(3) (JCGM 100:2008, 4.3.7), guard equal to the expanded uncertainty (ILAC-G8:09/2019, binary
rule). Run of good bonds: (1 - C)^(1/n), the one-sided bound of Clopper and Pearson, Biometrika 26 (1934) 404-413,
here also from statsmodels. Rail: mass and area of 60E1, EN 13674-1:2011.
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from statsmodels.stats.proportion import proportion_confint

from certs.signoffs.rules import Bond, Bounds, Finding, finding, outcome
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
