"""Filter shades against 29 CFR 1910.133(a)(5) and the transmittance formula."""

import math

import pytest

from training.calc import eyes
from training.calc.catalogue import compute
from training.calc.eyes import Operation


class TestLeastShade:
    """29 CFR 1910.133(a)(5), minimum shades (read in one copy, the same as shipyard rule 1915.153)."""

    @pytest.mark.parametrize(
        ("operation", "rows"),
        [
            (Operation.SHIELDED_METAL, {59: 7, 60: 8, 159: 8, 160: 10, 249: 10, 250: 11, 550: 11}),
            (Operation.GAS_METAL, {59: 7, 60: 10, 160: 10, 250: 10, 500: 10}),
            (Operation.GAS_TUNGSTEN, {49: 8, 50: 8, 149: 8, 150: 10, 500: 10}),
            (Operation.AIR_CARBON, {499: 10, 500: 11, 1000: 11}),
            (Operation.PLASMA_WELDING, {19: 6, 20: 8, 99: 8, 100: 10, 399: 10, 400: 11, 800: 11}),
            (Operation.PLASMA_CUTTING, {299: 8, 300: 9, 399: 9, 400: 10, 800: 10}),
        ],
    )
    def test_rows(self, operation: Operation, rows: dict[float, int]) -> None:
        """Each printed range, and its bounds."""
        assert {current: eyes.least_shade(operation, current) for current in rows} == rows

    def test_two_rows_at_once(self) -> None:
        """An 8 mm pin at 240 A: 10 by current, 11 by electrode size (10.08 thirty-seconds of an inch)."""
        assert pytest.approx(10.078740157480315, rel=1e-12) == 8e-3 / eyes.THIRTY_SECOND_INCH
        assert eyes.shade_by_current(240) == 10
        assert eyes.shade_by_electrode(8e-3) == 11

    @pytest.mark.parametrize(("size", "shade"), [(2.9, 7), (3, 8), (4.9, 8), (5, 10), (8, 10), (8.1, 11)])
    def test_electrode(self, size: float, shade: int) -> None:
        """The same line by size in thirty-seconds of an inch."""
        assert eyes.shade_by_electrode(size * eyes.THIRTY_SECOND_INCH) == shade

    @pytest.mark.parametrize(("thirty_seconds", "shade"), [(3, 8), (5, 10), (8, 10)])
    def test_electrode_in_millimetres(self, thirty_seconds: int, shade: int) -> None:
        """A size on a bound stays on it however its millimetres are reached, last bit up or down."""
        size = thirty_seconds * 25.4 / 32 / 1000
        for near in (math.nextafter(size, 0), size, math.nextafter(size, 1)):
            assert eyes.shade_by_electrode(near) == shade

    def test_gas_rows(self) -> None:
        """Torch brazing 3, torch soldering 2, carbon arc 14."""
        assert (eyes.TORCH_BRAZING, eyes.TORCH_SOLDERING, eyes.CARBON_ARC) == (3, 2, 14)


class TestOtherRows:
    """Comfort shades of ANSI Z49.1:2012 and the gas rows of 29 CFR 1910.133(a)(5) (read)."""

    @pytest.mark.parametrize(("current", "shade"), [(160, 12), (240, 12), (250, 14), (550, 14)])
    def test_comfort(self, current: float, shade: int) -> None:
        """Shielded metal arc."""
        assert eyes.comfort_shade(current) == shade

    @pytest.mark.parametrize(("millimetres", "welding", "cutting"), [(3, 4, 3), (10, 5, 3), (30, 6, 4), (200, 6, 5)])
    def test_gas(self, millimetres: float, welding: int, cutting: int) -> None:
        """Gas welding of plate and oxygen cutting, by thickness."""
        assert eyes.shade_by_thickness(eyes.GAS_WELDING, millimetres / 1000) == welding
        assert eyes.shade_by_thickness(eyes.OXYGEN_CUTTING, millimetres / 1000) == cutting

    def test_gas_bounds(self) -> None:
        """From 3.2 mm of plate shade 5 and from 25 mm of a cut shade 4, the bound itself too."""
        assert eyes.shade_by_thickness(eyes.GAS_WELDING, 0.0032) == 5
        assert eyes.shade_by_thickness(eyes.OXYGEN_CUTTING, 0.025) == 4


class TestTransmittance:
    """N = 1 + 7/3 log10(1/tau) (read); per cent, worked."""

    @pytest.mark.parametrize(
        ("shade", "percent"), [(10, 0.013894954943731374), (11, 0.005179474679231213), (5, 1.9306977288832505)]
    )
    def test_worked(self, shade: float, percent: float) -> None:
        """Shade to light and back."""
        assert 100 * eyes.transmittance(shade) == pytest.approx(percent, rel=1e-12)
        assert eyes.shade_from_transmittance(percent / 100) == pytest.approx(shade, rel=1e-12)

    @pytest.mark.parametrize(("lighter", "darker"), [(10, 11), (3, 4)])
    def test_one_shade(self, lighter: float, darker: float) -> None:
        """One shade is a factor of 2.68 wherever it lies."""
        assert eyes.shade_ratio(lighter, darker) == pytest.approx(2.6826957952797255, rel=1e-12)

    def test_wrong_answers(self) -> None:
        """Shade 5 for shade 10."""
        values = {"lighter_shade": 5.0, "darker_shade": 10.0}
        assert compute("eyes.shade_ratio", values) == pytest.approx(138.9, abs=0.05)
        assert compute("eyes.shade_ratio.numbers", values) == 2.0
        assert compute("eyes.shade_ratio.doubling", values) == 32
        assert compute("eyes.shade_ratio.decades", values) == 100000
        assert compute("eyes.shade_by_current.torch", {}) == 3
