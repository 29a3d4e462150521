"""Leads against IEC 60228, IEC 60028, wire gauge tables and worked values."""

import math

import pint
import pytest

from training.calc import leads
from training.calc.catalogue import compute

# IEC 60228:2004 class 5, plain annealed copper, largest ohm/km at 20 degC (read in four agreeing copies)
CLASS_5 = {
    10: 1.91,
    16: 1.21,
    25: 0.780,
    35: 0.554,
    50: 0.386,
    70: 0.272,
    95: 0.206,
    120: 0.161,
    150: 0.129,
    185: 0.106,
    240: 0.0801,
}
TINNED = {35: 0.565, 50: 0.393, 70: 0.277}  # the same, tinned (read)


class TestIec60228:
    """Rows of IEC 60228:2004 class 5."""

    @pytest.mark.parametrize(("size", "row"), CLASS_5.items())
    def test_plain(self, size: int, row: float) -> None:
        """Each plain size gives its row."""
        assert leads.class5(size * 1e-6) == pytest.approx(row / 1000, rel=1e-12)

    @pytest.mark.parametrize(("size", "row"), TINNED.items())
    def test_tinned(self, size: int, row: float) -> None:
        """Each tinned size gives its row."""
        assert leads.class5_tinned(size / 1e6) == pytest.approx(row / 1000, rel=1e-12)

    @pytest.mark.parametrize(
        ("size", "at_20", "at_minus_30", "at_70", "drop"),
        [
            (16, 21.78, 17.50023, 26.05977, 5.2272),
            (25, 14.04, 11.28114, 16.79886, 3.3696),
            (35, 9.972, 8.012502, 11.931498, 2.39328),
            (50, 6.948, 5.582718, 8.313282, 1.66752),
            (70, 4.896, 3.933936, 5.858064, 1.17504),
        ],
    )
    def test_two_leads_of_nine_metres(
        self, size: int, at_20: float, at_minus_30: float, at_70: float, drop: float
    ) -> None:
        """18 m in all (common practice), worked from the rows; mohm and V at 240 A."""
        row = leads.class5(size * 1e-6)
        assert 1000 * leads.resistance(row, 9) == pytest.approx(at_20, rel=1e-12)
        assert 1000 * leads.resistance_at(row, 9, -30) == pytest.approx(at_minus_30, rel=1e-12)
        assert 1000 * leads.resistance_at(row, 9, 70) == pytest.approx(at_70, rel=1e-12)
        assert leads.drop(row, 9, 240) == pytest.approx(drop, rel=1e-12)

    def test_nominal_area_is_a_name(self) -> None:
        """Solid 35 mm2 would have 8.867 mohm where the table allows an eighth more."""
        solid = compute("leads.resistance.nominal_area", {"area": 35e-6, "lead_length": 9.0})
        assert 1000 * solid == pytest.approx(8.867, abs=5e-4)
        assert 9.972e-3 / solid == pytest.approx(1.125, abs=5e-4)

    def test_correction_to_20(self) -> None:
        """Printed 1.064 at 5 degC (read); the exact inverse of the other factor is 1.0626."""
        assert leads.correction_to_20(5) == 1.0638297872340425
        assert 1 / leads.copper_factor(5) == pytest.approx(1.062642792625259, rel=1e-12)


class TestCopper:
    """IEC 60028:1925 (read second hand)."""

    def test_resistivity(self) -> None:
        """One fifty-eighth of an ohm mm2/m, converted by pint."""
        exact = pint.UnitRegistry().Quantity(1 / 58, "ohm * mm**2 / m").to("ohm * m").magnitude
        assert pytest.approx(exact, rel=1e-12) == leads.RESISTIVITY
        assert pytest.approx(1.724137931034483e-08, rel=1e-12) == leads.RESISTIVITY

    @pytest.mark.parametrize(
        ("temperature", "linear", "inferred"),
        [(-30, 0.8035, 0.8035363457760314), (70, 1.1965, 1.1964636542239686)],
    )
    def test_factor(self, temperature: float, linear: float, inferred: float) -> None:
        """Both printed forms."""
        assert leads.copper_factor(temperature) == pytest.approx(linear, rel=1e-12)
        assert leads.copper_factor_inferred(temperature) == pytest.approx(inferred, rel=1e-12)


class TestGauge:
    """American gauge, ASTM B258 geometry (formula from memory)."""

    @pytest.mark.parametrize(
        ("gauge", "diameter", "area", "resistance"),
        [
            (-1, 9.265833249046812, 67.43088223591077, 0.2556896593763208),
            (0, 8.251462802171464, 53.47512073211765, 0.32241870750914453),
            (2, 6.543707496202785, 33.630834019349614, 0.5126658262600607),
            (-3, 11.684, 107.2193025770305, 0.16080480749217665),
        ],
    )
    def test_sizes(self, gauge: int, diameter: float, area: float, resistance: float) -> None:
        """mm, mm2 and mohm/m of solid wire."""
        assert 1e3 * leads.awg_diameter(gauge) == pytest.approx(diameter, rel=1e-12)
        assert 1e6 * leads.awg_area(gauge) == pytest.approx(area, rel=1e-12)
        assert 1e3 * leads.awg_per_metre(gauge) == pytest.approx(resistance, rel=1e-12)

    def test_wire_tables(self) -> None:
        """4/0: 460 mil and 0.04901 ohm per 1000 ft (National Bureau of Standards wire tables, from memory)."""
        assert leads.awg_diameter(-3) / 0.0254 == pytest.approx(0.460, rel=1e-12)
        assert leads.awg_per_metre(-3) * 304.8 == pytest.approx(0.04901, abs=5e-6)


class TestShotRise:
    """Adiabatic rise; heat capacity of copper from memory, worked values."""

    def test_worked(self) -> None:
        """240 A for 1.75 s."""
        assert leads.shot_rise(240, 1.75, 35e-6) == pytest.approx(0.4112229599485972, rel=1e-12)
        assert leads.shot_rise(240, 1.75, 25e-6) == pytest.approx(0.8059970014992505, rel=1e-12)

    def test_heat_capacity(self) -> None:
        """Density 8960 kg/m3 times 385 J/(kg K), common handbook values, from memory."""
        assert pytest.approx(8960 * 385, rel=1e-3) == leads.HEAT_CAPACITY


class TestWrongAnswers:
    """The examples of the lead questions, worked from IEC 60228 and IEC 60028."""

    def test_drop(self) -> None:
        """25 mm2, 240 A."""
        values = {"resistance_per_metre": 0.780e-3, "lead_length": 9.0, "current": 240.0}
        nominal = {"area": 25e-6, "lead_length": 9.0, "current": 240.0}
        assert compute("leads.drop", values) == pytest.approx(3.37, abs=5e-3)
        assert compute("leads.drop.one_lead", values) == pytest.approx(1.68, abs=6e-3)
        assert compute("leads.drop.nominal_area", nominal) == pytest.approx(2.98, abs=5e-3)
        assert compute("leads.drop.per_kilometre", values) == pytest.approx(3369.6, abs=0.05)

    def test_cold(self) -> None:
        """50 mm2 at -10 degC, mohm."""
        row = {"resistance_per_metre": 0.386e-3, "lead_length": 9.0}
        cold = row | {"temperature": -10.0}
        key = "leads.resistance_at"
        found = [
            round(1000 * compute(name, values), 2)
            for name, values in [
                (key, cold),
                (f"{key}.no_correction", row),
                (f"{key}.wrong_sign", cold),
                (f"{key}.from_zero", cold),
            ]
        ]
        assert found == [6.13, 6.95, 7.77, 6.67]
        assert math.isclose(compute(f"{key}.one_lead", cold) * 2, compute(key, cold))
