"""Heat against EN 1993-1-2, scipy, pint and worked values."""

from itertools import pairwise

import pint
import pytest
from scipy import integrate

from training.calc import heat, joint
from training.calc.catalogue import compute

PIN = joint.pin_mass(8e-3, 20e-3, 7850)


class TestSteel:
    """EN 1993-1-2:2005 3.4.1.2 (read)."""

    @pytest.mark.parametrize(("temperature", "value"), [(20, 439.80176), (600, 760.2173913), (650, 813.75), (900, 650)])
    def test_specific_heat(self, temperature: float, value: float) -> None:
        """Worked points, J/(kg K)."""
        assert heat.steel_specific_heat(temperature) == pytest.approx(value, rel=1e-9)

    def test_peak_is_thousands(self) -> None:
        """At 735 degC the curve peaks at 5000 J/(kg K): the 13 002 is thirteen thousand (EN 1993-1-2)."""
        assert heat.steel_specific_heat(734.999999) == pytest.approx(5000, abs=1)
        assert heat.steel_specific_heat(735) == pytest.approx(5000, abs=1)

    def test_enthalpy_of_a_braze(self) -> None:
        """20 to 650 degC: total and mean."""
        found = heat.steel_enthalpy(20, 650)
        assert found == pytest.approx(374887.6404442894, rel=2e-8)  # worked by quadrature across the kink
        assert found / 630 == pytest.approx(595.06, abs=5e-3)

    @pytest.mark.parametrize(("start", "end"), [(20, 590), (300, 700), (610, 730), (700, 880), (100, 1100)])
    def test_enthalpy_by_quadrature(self, start: float, end: float) -> None:
        """The area under the specific heat by scipy, piece by piece."""
        bounds = [start, *(p for p in (600, 735, 900) if start < p < end), end]
        area = sum(
            integrate.quad(heat.steel_specific_heat, low, high - 1e-9, epsabs=0, epsrel=1e-11)[0]
            for low, high in pairwise(bounds)
        )
        assert heat.steel_enthalpy(start, end) == pytest.approx(area, rel=1e-10)

    def test_pin(self) -> None:
        """7.892 g of steel, with the curve and with a flat 650, nine per cent more."""
        assert heat.steel_heat(PIN, 20, 650) == pytest.approx(2958.4935739391753, rel=2e-8)  # the same quadrature
        assert heat.heat(PIN, 650, 20, 650) == pytest.approx(3231.643265412291, rel=1e-12)


class TestBalance:
    """Where the energy goes; 22 V arc assumed (common practice)."""

    def test_arc_and_pin(self) -> None:
        """9240 J of arc, a third into the pin."""
        arc = heat.arc_energy(240, 22, 1.75)
        assert arc == pytest.approx(9240, rel=1e-12)
        assert heat.energy_share(heat.steel_heat(PIN, 20, 650), arc) == pytest.approx(0.32, abs=5e-3)


class TestTemperatures:
    """Scales by pint and by definition."""

    def test_readings_and_differences(self) -> None:
        """650 and 727 degC in degF; 77 K is 138.6 degF and not 170.6."""
        units = pint.UnitRegistry()
        assert units.Quantity(650, "degC").to("degF").magnitude == pytest.approx(1202)
        assert units.Quantity(727, "degC").to("degF").magnitude == pytest.approx(1340.6)
        values = {"upper_temperature": 727.0, "lower_temperature": 650.0}

        def fahrenheit(key: str) -> float:
            return float(units.Quantity(compute(key, values), "delta_degC").to("delta_degF").magnitude)

        assert fahrenheit("heat.margin") == pytest.approx(138.6)
        assert fahrenheit("heat.margin.with_32") == pytest.approx(170.6)
        assert fahrenheit("heat.margin.not_turned") == pytest.approx(77)


class TestAlloys:
    """ISO 17672 ranges (read on a dealer's list; 156 partly from memory) and Andrews 1965 (from memory)."""

    @pytest.mark.parametrize(
        ("alloy", "solidus", "liquidus"),
        [(156, 620, 655), (155, 630, 660), (145, 640, 680), (140, 650, 710), (134, 630, 730), (130, 665, 755)],
    )
    def test_ranges(self, alloy: int, solidus: float, liquidus: float) -> None:
        """Each alloy's solidus and liquidus."""
        assert (heat.alloy_solidus(alloy), heat.alloy_liquidus(alloy)) == (solidus, liquidus)

    def test_rail_steel(self) -> None:
        """R260 (Si 0.15-0.58, Mn 0.70-1.20, read): Ac1 at 0.35 Si, 1.0 Mn and at the extremes; Ms at 0.7 C, 1.0 Mn."""
        assert heat.ac1(0.0100, 0, 0.0035, 0) == pytest.approx(722.485, rel=1e-12)
        assert heat.ac1(0.0120, 0, 0.0015, 0) == pytest.approx(714.525, rel=1e-12)
        assert heat.ac1(0.0070, 0, 0.0058, 0) == pytest.approx(732.388, rel=1e-12)
        # a per cent of nickel takes off 16.9 K, one of chromium adds as much (the same formula, from memory)
        assert heat.ac1(0.0, 0.01, 0.0, 0.0) == pytest.approx(706.1, rel=1e-12)
        assert heat.ac1(0.0, 0.0, 0.0, 0.01) == pytest.approx(739.9, rel=1e-12)
        assert heat.martensite_start(0.007, 0.010) == pytest.approx(212.5, rel=1e-12)

    def test_wrong_answers(self) -> None:
        """Ag 134 on a rail that turns at 715 degC: no margin."""
        values = {"ac1": 715.0, "alloy": 134.0}
        key = "heat.liquidus_margin"
        assert compute(key, values) == -15
        assert compute(f"{key}.solidus", values) == 85
        assert compute(f"{key}.usual_650", {"ac1": 715.0}) == 65
        assert compute(f"{key}.fahrenheit", values) == pytest.approx(-27)

    def test_stud_welding(self) -> None:
        """8 mm: 640 A, 160 ms, 102 A s (a stud-welding manual, read)."""
        assert heat.stud_current(8e-3) == pytest.approx(640)
        assert heat.stud_time(8e-3) == pytest.approx(0.160)
        assert heat.stud_current(8e-3) * heat.stud_time(8e-3) == pytest.approx(102, abs=0.5)


class TestPinHeat:
    """25 mm pin from 0 degC with c = 650 given, in kJ; worked by hand."""

    def test_wrong_answers(self) -> None:
        """The answer and the three named wrong ones."""
        values = {
            "diameter": 8e-3,
            "length": 25e-3,
            "density": 7850.0,
            "specific_heat": 650.0,
            "start_temperature": 0.0,
            "end_temperature": 650.0,
        }
        no_start = {name: value for name, value in values.items() if name != "start_temperature"}
        key = "heat.pin_heat"
        assert compute(key, values) / 1e3 == pytest.approx(4.17, abs=5e-3)
        assert compute(f"{key}.kelvin", no_start) / 1e3 == pytest.approx(5.92, abs=5e-3)
        assert compute(f"{key}.radius", values) / 1e3 == pytest.approx(16.67, abs=5e-3)
        assert compute(f"{key}.thousand", values) / 1e3 == pytest.approx(4168, abs=0.5)
