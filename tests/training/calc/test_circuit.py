"""Shot circuit: more resistance, less current."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import circuit
from training.calc.catalogue import compute
from training.calc.ranges import OutOfRange

OHMS = st.floats(0.001, 0.1)
REST = st.floats(30, 42)


class TestCurrent:
    """Both models."""

    @given(REST, OHMS, OHMS, OHMS)
    def test_resistance_and_current_agree(self, rest: float, pack: float, leads: float, arc: float) -> None:
        """Ohm's law there and back."""
        amperes = circuit.current(rest, pack, leads, 0.005, arc)
        loop = circuit.loop_resistance(pack, leads, 0.005, arc)
        assert rest / amperes == pytest.approx(loop, rel=1e-12)

    @given(REST, OHMS, OHMS, st.floats(0, 0.05), st.floats(0, 0.05))
    def test_falls_with_a_worse_earth(self, rest: float, pack: float, leads: float, one: float, other: float) -> None:
        """A worse contact never helps, whichever model."""
        good, bad = sorted((one, other))
        assert circuit.current(rest, pack, leads, good, 0.12) >= circuit.current(rest, pack, leads, bad, 0.12)
        found = [circuit.current_arc_voltage(rest, 22, pack, leads, earth) for earth in (good, bad)]
        assert found[0] >= found[1]

    def test_no_arc_no_current(self) -> None:
        """An arc that wants more than the pack has does not burn."""
        assert circuit.current_arc_voltage(24, 25, 0.02, 0.01, 0.005) == 0
        assert circuit.new_voltage_current_arc_voltage(240, 39, 24, 25) == 0

    @pytest.mark.parametrize("key", ["current_arc_voltage", "current_arc_voltage.arc_ignored"])
    def test_refuses_a_loop_of_nothing(self, key: str) -> None:
        """Some resistance there must be."""
        values = {"rest_voltage": 39.0, "pack_resistance": 0.0, "lead_resistance": 0.0, "earth_resistance": 0.0}
        arc = {"arc_voltage": 22.0} if key == "current_arc_voltage" else {}
        with pytest.raises(OutOfRange, match="together must be above 0 ohm"):
            compute(f"circuit.{key}", values | arc)


class TestAddedResistance:
    """A resistance that comes or goes."""

    @given(REST, st.floats(150, 300), st.floats(0.0001, 0.05))
    def test_coming_and_going_cancel(self, rest: float, amperes: float, added: float) -> None:
        """Taken off again, the current is back."""
        less = circuit.added_resistance_current(rest, amperes, added)
        assert less < amperes
        assert circuit.added_resistance_current(rest, less, -added) == pytest.approx(amperes, rel=1e-9)

    def test_refuses_more_than_the_loop_has(self) -> None:
        """What is not there cannot be taken away."""
        with pytest.raises(OutOfRange, match="less than the loop has"):
            circuit.added_resistance_current(24, 1000, -0.05)
        with pytest.raises(OutOfRange, match="less than the loop has"):
            circuit.added_resistance_current(32, 1000, -0.032)  # all of it
        values = {"rest_voltage": 39.0, "current": 240.0, "added_resistance": 0.5}
        with pytest.raises(OutOfRange, match="less than the loop has"):
            compute("circuit.added_resistance_current.wrong_way", values)

    def test_refuses_an_arc_above_the_rest_voltage(self) -> None:
        """Then no current flowed in the first place."""
        with pytest.raises(OutOfRange, match="arc voltage must be below"):
            circuit.resistance_from_current_arc_voltage(24, 24, 240)


class TestHeat:
    """Joule's law."""

    @given(st.floats(1, 500), st.floats(0, 0.1))
    def test_is_drop_times_current(self, amperes: float, ohms: float) -> None:
        """Volts times amperes."""
        drop = circuit.voltage_drop(amperes, ohms)
        assert circuit.contact_heat(amperes, ohms) == pytest.approx(drop * amperes, rel=1e-12)
