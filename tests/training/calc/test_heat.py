"""Heat: paths add up, and alloys are the listed ones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import heat
from training.calc.catalogue import compute
from training.calc.ranges import OutOfRange

TEMPERATURE = st.floats(20, 1200)


class TestSteel:
    """Heat of steel."""

    @given(TEMPERATURE, TEMPERATURE, TEMPERATURE)
    def test_paths_add_up(self, start: float, middle: float, end: float) -> None:
        """By way of any temperature, up or down, the heat is the same."""
        there = heat.steel_enthalpy(start, middle) + heat.steel_enthalpy(middle, end)
        assert heat.steel_enthalpy(start, end) == pytest.approx(there, abs=1e-6)

    @given(TEMPERATURE, TEMPERATURE)
    def test_hotter_takes_more(self, one: float, other: float) -> None:
        """Heat from 20 degC rises with temperature."""
        low, high = sorted((one, other))
        assert heat.steel_enthalpy(20, low) <= heat.steel_enthalpy(20, high)

    @given(TEMPERATURE)
    def test_specific_heat_is_positive(self, temperature: float) -> None:
        """On every piece, at least that of cold steel and at most the peak."""
        assert 439 < heat.steel_specific_heat(temperature) <= 5001


class TestAlloys:
    """Silver alloys by number."""

    def test_refuses_an_alloy_that_is_not_listed(self) -> None:
        """The sentence lists the numbers."""
        with pytest.raises(OutOfRange, match="one of Ag 156, 155, 145, 140, 134, 130"):
            heat.alloy_liquidus(150)

    @pytest.mark.parametrize("alloy", [number for number, _, _ in heat.ALLOYS])
    def test_begins_to_melt_before_it_flows(self, alloy: int) -> None:
        """Solidus below liquidus."""
        assert heat.alloy_solidus(alloy) < heat.alloy_liquidus(alloy)


class TestShares:
    """Shares of energy."""

    def test_refuses_to_divide_by_nothing(self) -> None:
        """The ratio turned over needs a part above zero."""
        with pytest.raises(OutOfRange, match="must be above 0 J"):
            compute("heat.energy_share.upside_down", {"part_energy": 0.0, "whole_energy": 9240.0})
