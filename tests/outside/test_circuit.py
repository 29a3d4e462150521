"""Shot circuit against worked values."""

import pytest

from training.calc import cells, circuit, leads
from training.calc.catalogue import compute

REST, CURRENT, ARC = 39.0, 240.0, 22.0
LEADS = 0.009972  # two leads of 9 m, 35 mm2, IEC 60228:2004 class 5 (read in four agreeing copies)


class TestTwoModels:
    """240 A at 39.0 V, both models; worked from Ohm's law, arc of 22 V assumed (common practice)."""

    def test_loop(self) -> None:
        """What 240 A means as a resistance."""
        assert circuit.resistance_from_current(REST, CURRENT) == pytest.approx(0.1625, rel=1e-12)
        found = circuit.resistance_from_current_arc_voltage(REST, ARC, CURRENT)
        assert found == pytest.approx(0.07083333333333333, rel=1e-12)

    @pytest.mark.parametrize(
        ("added", "a", "b"),
        [
            (-LEADS, 255.6907584181265, 279.32348946238443),
            (0.020, 213.6986301369863, 187.1559633027523),
        ],
    )
    def test_resistance_changes(self, added: float, a: float, b: float) -> None:
        """Leads off, and a bad earth contact."""
        assert circuit.added_resistance_current(REST, CURRENT, added) == pytest.approx(a, rel=1e-12)
        found = circuit.added_resistance_current_arc_voltage(REST, ARC, CURRENT, added)
        assert found == pytest.approx(b, rel=1e-12)

    def test_rest_voltage_changes(self) -> None:
        """38.0 V instead of 39.0 V, and a fresh pack."""
        assert circuit.new_voltage_current(CURRENT, REST, 38.0) == pytest.approx(233.84615384615384, rel=1e-12)
        found = circuit.new_voltage_current_arc_voltage(CURRENT, REST, 38.0, ARC)
        assert found == pytest.approx(225.88235294117646, rel=1e-12)
        assert circuit.new_voltage_current(1, 39.5, 40.8) == pytest.approx(1.0329113924050632, rel=1e-12)
        fresh = circuit.new_voltage_current_arc_voltage(1, 39.5, 40.8, ARC)
        assert fresh == pytest.approx(1.0742857142857143, rel=1e-11)

    def test_heat_in_the_earth_contact(self) -> None:
        """Joule's law at the current that is left."""
        left = circuit.added_resistance_current(REST, CURRENT, 0.020)
        assert circuit.contact_heat(left, 0.020) == pytest.approx(913.3420904484894, rel=1e-12)

    @pytest.mark.parametrize(
        ("cell", "with_leads", "without"),
        [
            (20, 246.8, 279.3),
            (5, 211.1, 234.4),
            (-5, 168.6, 183.2),
            (-15, 110.5, 116.6),
            (-25, 63.8, 65.7),
        ],
    )
    def test_cold_day(self, cell: float, with_leads: float, without: float) -> None:
        """20 mohm pack, leads at -30 degC, rest of the loop 40.86 mohm; worked values, one decimal."""
        pack = 0.020 * cells.cold_ratio(cell, 20)
        cold = leads.resistance_at(0.554e-3, 9, -30)
        loop = {"rest_voltage": REST, "arc_voltage": ARC, "pack_resistance": pack, "earth_resistance": 0.04086}
        found = [circuit.current_arc_voltage(**loop, lead_resistance=r) for r in (cold, 0.0)]
        assert found == pytest.approx([with_leads, without], abs=0.06)


class TestWrongAnswers:
    """The examples of the shot questions, worked by hand."""

    LOOP: dict[str, float] = {  # noqa: RUF012 - read only
        "rest_voltage": 38.6,
        "pack_resistance": 0.025,
        "lead_resistance": 0.010,
        "earth_resistance": 0.005,
        "arc_resistance": 0.120,
    }

    @pytest.mark.parametrize(
        ("key", "left_out", "amperes"),
        [
            ("circuit.current", (), 241),
            ("circuit.current.label", ("rest_voltage",), 225),
            ("circuit.current.no_earth", ("earth_resistance",), 249),
            ("circuit.current.arc_only", ("pack_resistance", "lead_resistance", "earth_resistance"), 322),
        ],
    )
    def test_shot_current(self, key: str, left_out: tuple[str, ...], amperes: int) -> None:
        """38.6 V through 25, 10, 5 and 120 mohm."""
        values = {name: value for name, value in self.LOOP.items() if name not in left_out}
        assert round(compute(key, values)) == amperes

    def test_earth_contact(self) -> None:
        """39.2 V, 240 A, 15 mohm more."""
        values = {"rest_voltage": 39.2, "current": 240.0, "added_resistance": 0.015}
        key = "circuit.added_resistance_current"
        assert round(compute(key, values)) == 220
        minus = {"current": 240.0, "added_resistance": 0.015}
        assert compute(f"{key}.milliohm_minus", minus) == pytest.approx(225)
        assert compute(f"{key}.no_effect", {"current": 240.0}) == 240
