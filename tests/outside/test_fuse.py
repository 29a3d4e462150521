"""Fuse wire against printed formulas, worked values and a second route."""

import math

import pytest

from training.calc import fuse
from training.calc.catalogue import compute

MM2 = 1e-6


class TestOnderdonk:
    """Stauffacher, General Electric Review 1928 (read); worked values at 240 A, 25 degC."""

    @pytest.mark.parametrize(
        ("time", "area", "diameter", "iec"),
        [
            (1, 0.8312568249093131, 1.0288, 0.8331277320419262),
            (1.5, 1.0180775331169372, 1.1385, 1.0203689170324552),
            (1.75, 1.099649417167602, 1.1833, 1.1021243946670976),
            (2, 1.1755746756019478, 1.2234, 1.1782205378428299),
        ],
    )
    def test_areas(self, time: float, area: float, diameter: float, iec: float) -> None:
        """mm2 and mm by Onderdonk; mm2 by the IEC 60949 form (read second hand), 0.2 per cent apart."""
        found = fuse.onderdonk_area(240, time, 25)
        assert found / MM2 == pytest.approx(area, rel=1e-12)
        assert 1e3 * fuse.diameter(found) == pytest.approx(diameter, abs=5e-5)
        assert fuse.adiabatic_area(240, time, 25) / MM2 == pytest.approx(iec, rel=1e-12)
        assert found == pytest.approx(fuse.adiabatic_area(240, time, 25), rel=3e-3)

    @pytest.mark.parametrize(
        ("current", "ambient", "time"),
        [
            (240, 25, 1.4472033258983268),
            (200, 25, 2.0839727892935906),
            (180, 25, 2.572805912708137),
            (240, -30, 1.659625747924101),
        ],
    )
    def test_times(self, current: float, ambient: float, time: float) -> None:
        """One square millimetre of copper."""
        assert fuse.onderdonk_time(current, MM2, ambient) == pytest.approx(time, rel=1e-12)

    def test_step_integration(self) -> None:
        """Heating step by step with copper's resistance (IEC 60028) and heat capacity gives it within 1 %."""
        temperature, elapsed, step = 25.0, 0.0, 1e-4
        while temperature < 1083:
            resistivity = (234.5 + temperature) / 254.5 / 58e6
            temperature += 240**2 * resistivity * step / (3.45e6 * MM2**2)
            elapsed += step
        assert fuse.onderdonk_time(240, MM2, 25) == pytest.approx(elapsed, rel=0.01)

    def test_constant_of_iec_60949(self) -> None:
        """K = sqrt(gamma (b + 20) / rho) = 225.67, printed 226 A s^0.5/mm2 (read second hand)."""
        worked = math.sqrt(3.45e6 * 254.5 * 58e6) / 1e6
        assert worked == pytest.approx(225.66667897587362, rel=1e-12)
        assert round(worked) == fuse.IEC_K / 1e6

    def test_heat_of_fusion(self) -> None:
        """A quarter on top: 20514 on 83359 A2 s/mm4 (205 kJ/kg from memory)."""
        ratio = fuse.melt_through_time(240, MM2, 25) / fuse.onderdonk_time(240, MM2, 25)
        assert ratio == pytest.approx(1 + 20514 / 83359, rel=1e-6)


class TestPreece:
    """Preece's constant for copper, 10244 A/inch^1.5 (read)."""

    def test_diameter(self) -> None:
        """240 A: 2.08 mm, 3.40 mm2."""
        found = fuse.preece_diameter(240)
        assert 1e3 * found == pytest.approx(2.079671935673139, rel=1e-12)
        assert math.pi * found**2 / 4 / MM2 == pytest.approx(3.40, abs=5e-3)
        assert fuse.preece_current(found) == pytest.approx(240, rel=1e-12)

    def test_millimetres(self) -> None:
        """The constant in mm, 80.02 A/mm^1.5."""
        assert fuse.preece_current(1e-3) == pytest.approx(80.02376765863968, rel=1e-12)


class TestOtherMetals:
    """Preece's constants for other wires (read second hand)."""

    def test_aluminium_at_250_amperes(self) -> None:
        """0.1028 in by the formula; a stored table misprints 0.1208."""
        assert fuse.preece_wire("aluminium", 250) / 0.0254 == pytest.approx(0.1028, abs=5e-5)

    def test_all_constants(self) -> None:
        """One inch of each metal, A."""
        constants = {"copper": 10244, "aluminium": 7585, "platinum": 5172, "German silver": 5230, "platinoid": 4750}
        constants |= {"iron": 3148, "tin": 1642, "tin-lead": 1318, "lead": 1379}
        assert constants == fuse.PREECE


class TestLoss:
    """Lumped wire of 1.10 mm with one time constant, worked values."""

    def test_times_run_away(self) -> None:
        """1.5 s at 240 A, then ever longer, and never below the least current."""
        least = fuse.preece_current(1.10e-3)
        assert least == pytest.approx(92.3225991427231, rel=1e-12)
        tau = fuse.time_constant(240, least, 1.5)
        assert tau == pytest.approx(9.366716625448868, rel=1e-12)
        for current, time in [(200, 2.2446120698579963), (150, 4.459824101832599), (100, 17.91745310154476)]:
            assert fuse.time_with_loss(current, least, tau) == pytest.approx(time, rel=1e-11)
        with pytest.raises(fuse.OutOfRange):
            fuse.time_with_loss(90, least, tau)


class TestWrongAnswers:
    """The examples of the wire questions, worked by hand."""

    def test_area(self) -> None:
        """260 A for 1 s, mm2."""
        values = {"current": 260.0, "time": 1.0, "ambient": 25.0}
        key = "fuse.onderdonk_area"
        assert compute(key, values) / MM2 == pytest.approx(0.90, abs=5e-3)
        assert compute(f"{key}.preece", {"current": 260.0}) / MM2 == pytest.approx(3.78, abs=5e-3)
        assert compute(f"{key}.circular_mils", values) / MM2 == pytest.approx(1777, abs=0.5)
        assert compute(f"{key}.rule_of_thumb", {"current": 260.0}) / MM2 == pytest.approx(2.60)
        longer = values | {"time": 2.0}
        assert compute(f"{key}.time_not_rooted", longer) / MM2 == pytest.approx(2 * 0.9005, abs=1e-3)

    def test_time_ratio(self) -> None:
        """1.2 s at 240 A, now 190 A."""
        values = {"time": 1.2, "current": 240.0, "new_current": 190.0}
        key = "fuse.time_ratio"
        assert compute(key, values) == pytest.approx(1.91, abs=5e-3)
        assert compute(f"{key}.linear", values) == pytest.approx(1.52, abs=5e-3)
        assert compute(f"{key}.upside_down", values) == pytest.approx(0.75, abs=5e-3)
        assert compute(f"{key}.no_change", {"time": 1.2}) == 1.2

    def test_ambient_taken_off(self) -> None:
        """A public worked example with 234 less ambient gets more current than it should (seen in print)."""
        values = {"current": 240.0, "area": MM2, "ambient": 25.0}
        assert compute("fuse.onderdonk_time.zero_below", values) > compute("fuse.onderdonk_time", values)
