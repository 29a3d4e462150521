"""Joint: measuring it and nothing else."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import joint
from training.calc.ranges import OutOfRange

MICRO = st.floats(1e-6, 1e-3)


class TestFourWire:
    """Reversal."""

    @given(MICRO, st.floats(-1e-3, 1e-3), st.floats(1, 20))
    def test_finds_joint_and_offset(self, ohms: float, offset: float, amperes: float) -> None:
        """Readings made of a joint and an offset give both back."""
        forward, back = offset + ohms * amperes, offset - ohms * amperes
        assert joint.kelvin(forward, back, amperes) == pytest.approx(ohms, rel=1e-6)
        assert joint.offset(forward, back) == pytest.approx(offset, abs=1e-12)

    @given(MICRO, st.floats(-1e-3, 1e-3), st.floats(1, 20))
    def test_uncertainty_leaves_the_offset_out(self, ohms: float, offset: float, amperes: float) -> None:
        """One gain falls on the difference; without digits and with a true current it is that share of the joint."""
        forward, back = offset + ohms * amperes, offset - ohms * amperes
        read = {"forward_voltage": forward, "reversed_voltage": back, "current": amperes, "display_step": 1e-7}
        sure = joint.kelvin_expanded(**read, reading_share=0.01, digits=0, current_share=0)
        assert sure == pytest.approx(2 * 0.01 * ohms / math.sqrt(3), rel=1e-6)
        # Digits alone err on each reading by themselves.
        digits = joint.kelvin_expanded(**read, reading_share=0, digits=5, current_share=0)
        assert digits == pytest.approx(2 * 5e-7 / math.sqrt(6) / amperes, rel=1e-9)

    def test_uncertainty_by_hand(self) -> None:
        """60 micro-ohm at 10 A, 1 % of the reading, 5 digits of 0.1 microvolt, 2 % of the current.

        60 x 60 x (0.01^2 + 0.02^2) is 1.8, half of 0.05 squared is 0.00125; a third of 1.80125 is 0.600417, its root
        0.774866, and twice that 1.549731.
        """
        read = {"forward_voltage": 730e-6, "reversed_voltage": -470e-6, "current": 10, "display_step": 1e-7}
        sure = joint.kelvin_expanded(**read, reading_share=0.01, digits=5, current_share=0.02)
        assert sure == pytest.approx(1.549731e-6, rel=1e-6)

    def test_refuses_less_than_the_rail(self) -> None:
        """A reading below the rail between the probes is a mistake in the measurement."""
        with pytest.raises(OutOfRange, match="at least the resistance of the rail"):
            joint.joint_only(10e-6, 30e-6, 1)
        assert joint.joint_only(30e-6, 30e-6, 1) == 0  # all of it rail


class TestBond:
    """Bond against rail."""

    @given(MICRO, st.floats(0.15e-6, 0.3e-6), st.floats(5e-3, 1e-2))
    def test_equivalent_length_has_the_same_resistance(self, bond: float, rho: float, area: float) -> None:
        """That much rail is as good as the bond."""
        length = joint.equivalent_length(bond, rho, area)
        assert length * joint.rail_resistance(rho, area) == pytest.approx(bond, rel=1e-12)

    @given(st.floats(1e-4, 1e-3), st.floats(0.1, 3), MICRO)
    def test_joints_count_twice(self, row: float, length: float, ohms: float) -> None:
        """One at either end."""
        bare = joint.bond_resistance(row, length, 0)
        assert joint.bond_resistance(row, length, ohms) - bare == pytest.approx(2 * ohms, rel=1e-6)


class TestPin:
    """Pin."""

    @given(st.floats(0.002, 0.014))
    def test_twice_as_thick_is_four_times_the_area(self, diameter: float) -> None:
        """Area goes with the square."""
        assert joint.pin_area(2 * diameter) == pytest.approx(4 * joint.pin_area(diameter), rel=1e-12)
