"""Leads: two ways round, better in the cold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import leads
from training.calc.ranges import OutOfRange

TEMPERATURE = st.floats(-50, 150)


class TestCopper:
    """Copper against temperature."""

    @given(TEMPERATURE, TEMPERATURE)
    def test_colder_is_better(self, one: float, other: float) -> None:
        """The factor rises with temperature."""
        cold, warm = sorted((one, other))
        assert leads.copper_factor(cold) <= leads.copper_factor(warm)

    @given(TEMPERATURE)
    def test_two_forms_agree(self, temperature: float) -> None:
        """The round coefficient and the inferred zero differ by less than one in a thousand."""
        inferred = leads.copper_factor_inferred(temperature)
        assert leads.copper_factor(temperature) == pytest.approx(inferred, rel=1e-3)


class TestTable:
    """Rows of nominal sizes."""

    def test_refuses_a_size_that_is_not_made(self) -> None:
        """The sentence lists the sizes."""
        with pytest.raises(OutOfRange, match="class 5: 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240 mm2"):
            leads.class5(30e-6)
        with pytest.raises(OutOfRange, match="tinned: 35, 50, 70 mm2"):
            leads.class5_tinned(25e-6)

    def test_a_thicker_lead_has_less(self) -> None:
        """Down the table the resistance falls."""
        rows = [leads.class5(size * 1e-6) for size, _ in leads.CLASS_5]
        assert rows == sorted(rows, reverse=True)


class TestDrop:
    """Voltage that both leads take."""

    @given(st.floats(1e-4, 2e-3), st.floats(1, 50), st.floats(1, 400))
    def test_is_ohms_law(self, row: float, length: float, amperes: float) -> None:
        """Resistance of both leads times current, and twice that of one."""
        assert leads.drop(row, length, amperes) == pytest.approx(2 * row * length * amperes, rel=1e-12)

    @given(st.floats(1e-4, 2e-3), st.floats(1, 50))
    def test_is_unchanged_at_20(self, row: float, length: float) -> None:
        """At 20 degC there is nothing to correct."""
        assert leads.resistance_at(row, length, 20) == leads.resistance(row, length)


class TestGauge:
    """American gauge."""

    @given(st.integers(-3, 19))
    def test_higher_number_is_thinner(self, gauge: int) -> None:
        """Each gauge is 92 to the one thirty-ninth thinner."""
        ratio = leads.awg_diameter(gauge) / leads.awg_diameter(gauge + 1)
        assert ratio == pytest.approx(92 ** (1 / 39), rel=1e-12)


class TestShotRise:
    """Heat of one shot."""

    @given(st.floats(100, 300), st.floats(0.5, 3))
    def test_goes_with_the_square_of_the_current(self, amperes: float, time: float) -> None:
        """Twice the current, four times the rise."""
        once, twice = (leads.shot_rise(amperes * n, time, 35e-6) for n in (1, 2))
        assert twice == pytest.approx(4 * once, rel=1e-12)
