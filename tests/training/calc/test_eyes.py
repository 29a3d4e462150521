"""Filter shades: darker lets less through."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import eyes
from training.calc.eyes import Operation
from training.calc.ranges import OutOfRange


class TestLeastShade:
    """Rows by current."""

    @given(st.sampled_from(Operation), st.floats(1, 500), st.floats(1, 500))
    def test_more_current_is_never_lighter(self, operation: Operation, one: float, other: float) -> None:
        """Shades rise along every row."""
        low, high = sorted((one, other))
        assert eyes.least_shade(operation, low) <= eyes.least_shade(operation, high)

    @pytest.mark.parametrize("current", [0, 551])
    def test_refuses_a_current_outside_the_row(self, current: float) -> None:
        """The sentence says how far the row goes."""
        with pytest.raises(OutOfRange, match="shielded metal arc welding must be above 0 and up to 550 A"):
            eyes.least_shade(Operation.SHIELDED_METAL, current)


class TestThickness:
    """Rows by plate thickness."""

    @given(st.floats(0.0001, 1), st.floats(0.0001, 1))
    def test_thicker_is_never_lighter(self, one: float, other: float) -> None:
        """Shades rise with the plate."""
        thin, thick = sorted((one, other))
        for rows in (eyes.GAS_WELDING, eyes.OXYGEN_CUTTING):
            assert eyes.shade_by_thickness(rows, thin) <= eyes.shade_by_thickness(rows, thick)

    def test_refuses_no_thickness(self) -> None:
        """There must be some plate."""
        with pytest.raises(OutOfRange, match="above 0 m"):
            eyes.shade_by_thickness(eyes.GAS_WELDING, 0)


class TestElectrode:
    """The same row by size."""

    @given(st.floats(0.001, 0.02), st.floats(0.001, 0.02))
    def test_thicker_is_never_lighter(self, one: float, other: float) -> None:
        """Shades rise with the size."""
        thin, thick = sorted((one, other))
        assert eyes.shade_by_electrode(thin) <= eyes.shade_by_electrode(thick)

    @pytest.mark.parametrize(("millimetres", "shade"), [(2, 7), (3.2, 8), (6, 10), (8, 11)])
    def test_usual_sizes(self, millimetres: float, shade: int) -> None:
        """From a thin electrode to a pin."""
        assert eyes.shade_by_electrode(millimetres / 1000) == shade


class TestTransmittance:
    """Light."""

    @given(st.floats(1, 16))
    def test_shade_comes_back(self, shade: float) -> None:
        """Shade to light to shade."""
        assert eyes.shade_from_transmittance(eyes.transmittance(shade)) == pytest.approx(shade, rel=1e-9)

    @given(st.floats(1, 15), st.floats(0.1, 1))
    def test_darker_lets_less_through(self, shade: float, step: float) -> None:
        """Always."""
        assert eyes.transmittance(shade + step) < eyes.transmittance(shade)
