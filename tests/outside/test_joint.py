"""Joint figures against rail tables, worked values and pint."""

import pint
import pytest

from training.calc import joint
from training.calc.catalogue import compute

MICRO = 1e-6


class TestPin:
    """8 mm steel pin of 20 mm, worked by hand."""

    def test_area_and_mass(self) -> None:
        """Area in mm2, mass in g at 7850 kg/m3."""
        assert joint.pin_area(8e-3) / MICRO == pytest.approx(50.26548245743669, rel=1e-12)
        assert 1e3 * joint.pin_mass(8e-3, 20e-3, 7850) == pytest.approx(7.89168074581756, rel=1e-12)

    def test_wrong_answers(self) -> None:
        """6 mm, in mm2."""
        values = {"diameter": 6e-3}
        key = "joint.pin_area"
        found = [
            round(compute(name, values) / MICRO, 1)
            for name in (key, f"{key}.radius", f"{key}.circumference", f"{key}.square")
        ]
        assert found == [28.3, 113.1, 18.8, 36.0]


class TestRails:
    """Areas and masses of EN 13674-1:2011 (read in an open structural library; 49E1 from memory)."""

    @pytest.mark.parametrize(
        ("name", "area", "mass", "resistance", "low", "high"),
        [
            ("49E1", 6292, 49.39, 34.96503496503497, 27.0, 42.9),
            ("54E1", 6977, 54.77, 31.53217715350437, 24.4, 38.7),
            ("60E1", 7670, 60.21, 28.683181225554108, 22.2, 35.2),
            ("100RE", 6414, 50.35, 34.29990069513406, 26.5, 42.1),
            ("115RE", 7236, 56.80, 30.404929577464795, 23.5, 37.3),
            ("136RE", 8590, 67.50, 25.61117578579744, 19.8, 31.4),
        ],
    )
    def test_row(self, *, name: str, area: float, mass: float, resistance: float, low: float, high: float) -> None:
        """Area, mass at 7850 kg/m3 and resistance at 0.22 (0.17 to 0.27) uohm m."""
        rail = next(rail for rail in joint.RAILS if rail.name == name)
        assert rail.area / MICRO == pytest.approx(area, abs=0.5)
        assert rail.mass == mass
        # the published mass and area agree at 7850 kg/m3 to the last printed figure
        assert joint.rail_mass(rail.area, joint.STEEL_DENSITY) == pytest.approx(mass, rel=1.5e-3)
        found = [joint.rail_resistance(rho * MICRO, rail.area) / MICRO for rho in (0.22, 0.17, 0.27)]
        assert found[0] == pytest.approx(resistance, rel=1e-12)
        assert found[1:] == pytest.approx([low, high], abs=0.06)

    @pytest.mark.parametrize(("pounds", "name"), [(101.5, "100RE"), (114.5, "115RE"), (136.07, "136RE")])
    def test_pounds_per_yard(self, pounds: float, name: str) -> None:
        """Mill masses in lb/yd (read), turned into kg/m by pint."""
        exact = pint.UnitRegistry().Quantity(1, "pound / yard").to("kg / m").magnitude
        assert pytest.approx(exact, rel=1e-12) == joint.KG_PER_M_IN_LB_PER_YD
        assert pytest.approx(0.496054647856518, rel=1e-12) == joint.KG_PER_M_IN_LB_PER_YD
        rail = next(rail for rail in joint.RAILS if rail.name == name)
        assert pounds * joint.KG_PER_M_IN_LB_PER_YD == pytest.approx(rail.mass, abs=5e-3)


class TestBond:
    """Physics of an ideal joint (Holm, Electric Contacts, from memory) and worked bonds."""

    def test_ideal_joint(self) -> None:
        """Spreading 13.75 uohm; steel and brass pin 79.6 and 24.7 uohm (resistivities from memory)."""
        assert joint.spreading_resistance(0.22e-6, 8e-3) / MICRO == pytest.approx(13.75, rel=1e-12)
        assert joint.bar_resistance(0.2e-6, 20e-3, 8e-3) / MICRO == pytest.approx(79.6, abs=0.05)
        assert joint.bar_resistance(0.062e-6, 20e-3, 8e-3) / MICRO == pytest.approx(24.7, abs=0.05)
        # a braze layer of 0.1 mm, 0.07 uohm m (from memory)
        assert joint.bar_resistance(0.07e-6, 0.1e-3, 8e-3) / MICRO == pytest.approx(0.14, abs=5e-3)

    def test_equivalent_lengths(self) -> None:
        """95 mm2, 1 m, and 50 mm2, 0.3 m with two joints of 15 uohm, on 60E1."""
        first = joint.bond_resistance(0.206e-3, 1, 0)
        second = joint.bond_resistance(0.386e-3, 0.3, 15e-6)
        assert first / MICRO == pytest.approx(206, rel=1e-12)
        assert second / MICRO == pytest.approx(145.8, rel=1e-12)
        assert joint.equivalent_length(first, 0.22e-6, 7670e-6) == pytest.approx(7.18190909090909, rel=1e-12)
        assert joint.equivalent_length(second, 0.22e-6, 7670e-6) == pytest.approx(5.083118181818182, rel=1e-12)

    @pytest.mark.parametrize(("length", "extra"), [(18, 25.8148631), (36, 51.6297262)])
    def test_allowed_extra(self, length: float, extra: float) -> None:
        """Five per cent of a rail length (EN 50122-2, from memory), worked."""
        assert joint.allowed_extra(0.22e-6, 7670e-6, length, 0.05) / MICRO == pytest.approx(extra, abs=5e-8)

    def test_wrong_answers(self) -> None:
        """200 uohm on 60E1, in m."""
        values = {"bond_resistance": 200e-6, "resistivity": 0.22e-6, "rail_area": 7670e-6}
        copper = {"bond_resistance": 200e-6, "rail_area": 7670e-6}
        key = "joint.equivalent_length"
        assert compute(key, values) == pytest.approx(6.97, abs=5e-3)
        assert compute(f"{key}.multiplied", values) == pytest.approx(5.74, abs=5e-3)
        assert compute(f"{key}.copper", copper) == pytest.approx(88.97, abs=5e-3)
        assert compute(f"{key}.centimetres", values) == pytest.approx(0.70, abs=5e-3)


class TestFourWire:
    """Reversal cancels the offset; worked readings."""

    @pytest.mark.parametrize(
        ("forward", "back", "current", "right", "single"), [(730, -470, 10, 60.0, 73.0), (450, -150, 5, 60.0, 90.0)]
    )
    def test_reversal(self, forward: float, back: float, current: float, right: float, single: float) -> None:
        """Microvolts in, microohms out, and what one polarity says."""
        values = {"forward_voltage": forward * MICRO, "reversed_voltage": back * MICRO, "current": current}
        one = {"forward_voltage": forward * MICRO, "current": current}
        assert compute("joint.kelvin", values) / MICRO == pytest.approx(right, rel=1e-12)
        assert compute("joint.kelvin.one_polarity", one) / MICRO == pytest.approx(single, rel=1e-12)
        assert compute("joint.kelvin.no_two", values) / MICRO == pytest.approx(2 * right, rel=1e-12)
        offset = joint.offset(forward * MICRO, back * MICRO)
        assert compute("joint.kelvin.added", values) == pytest.approx(offset / current, rel=1e-12)
        assert offset == pytest.approx((forward * MICRO) - right * MICRO * current, rel=1e-9)

    def test_warm_joint(self) -> None:
        """10 K at 13 uV/K (from memory) and 10 A: 13 uohm."""
        assert joint.warm_error(10, 10) / MICRO == pytest.approx(13, rel=1e-12)

    def test_rail_between_probes(self) -> None:
        """0.1 m of 60E1 is 2.87 uohm."""
        row = joint.rail_resistance(0.22e-6, 7670e-6)
        assert (60e-6 - joint.joint_only(60e-6, row, 0.1)) / MICRO == pytest.approx(2.87, abs=5e-3)

    def test_cathodic_protection_lead(self) -> None:
        """0.10 ohm and 1 A against 10 V stay within the tenth of DNV-RP-B401 (from memory)."""
        assert joint.lead_drop_share(1, 0.10, 10) == pytest.approx(0.01, rel=1e-12)
        assert joint.lead_drop_share(2.5, 0.10, 10) == pytest.approx(0.025, rel=1e-12)

    def test_limit_of_a_site(self) -> None:
        """Half as much again as good test bonds of 90 uohm (common practice, no source)."""
        assert joint.site_limit(90e-6) / MICRO == pytest.approx(135, rel=1e-12)
