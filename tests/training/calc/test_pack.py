"""Pack: what a reading proves, and how load and cold move it."""

from statistics import NormalDist

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from training.calc import cells, pack
from training.calc.catalogue import compute
from training.calc.ranges import OutOfRange

REST = st.floats(cells.LOWEST + 0.5, cells.HIGHEST - 0.5)
CELL = st.floats(-25, 45)


class TestChargeBand:
    """A rest voltage gives a band, never one figure."""

    @given(REST, st.floats(0, 0.4))
    def test_has_width_and_a_worse_meter_widens_it(self, volts: float, error: float) -> None:
        """Hysteresis alone keeps low below high; a meter error widens both ways."""
        narrow, wide = cells.charge_band(volts, 0), cells.charge_band(volts, error)
        assert wide.low <= narrow.low < narrow.high <= wide.high

    @given(REST, REST)
    def test_rises_with_voltage(self, one: float, other: float) -> None:
        """More volts never mean less charge."""
        low, high = sorted((one, other))
        assert cells.charge_low(low, 0) <= cells.charge_low(high, 0)
        assert cells.charge_high(low, 0) <= cells.charge_high(high, 0)

    def test_never_extrapolates(self) -> None:
        """A meter error that leaves the table is refused with its range."""
        with pytest.raises(OutOfRange, match=r"meter error must stay from 34\.61 to 40\.84 V"):
            cells.charge_band(40.8, 0.2)
        with pytest.raises(OutOfRange, match="meter error must stay"):
            cells.charge_band(34.7, 0.2)

    def test_reaches_both_ends_of_the_table(self) -> None:
        """The first and the last measured point are inside."""
        assert cells.charge_band(cells.LOWEST, 0).low == pytest.approx(0.02, rel=1e-12)
        assert cells.charge_band(cells.HIGHEST, 0).high == pytest.approx(0.98, rel=1e-12)


class TestBreakEven:
    """Leaving off the leads against the cooling of the pack."""

    @given(st.floats(0.005, 0.05), st.floats(0, 0.04))
    def test_is_where_the_pack_has_risen_by_the_leads(self, pack_ohms: float, lead_ohms: float) -> None:
        """At that temperature the rise of the pack is what the leads had."""
        assume(lead_ohms < 9 * pack_ohms)
        cell = cells.break_even_temperature(pack_ohms, lead_ohms)
        assert pack_ohms * (cells.cold_ratio(cell, 20) - 1) == pytest.approx(lead_ohms, abs=1e-11)

    def test_refuses_leads_beyond_the_table(self) -> None:
        """The cold table ends; no figure is made up beyond it."""
        with pytest.raises(OutOfRange, match=r"at most 9\.8 times"):
            cells.break_even_temperature(0.01, 0.5)


class TestCold:
    """Cells get worse in the cold."""

    @given(CELL, CELL)
    def test_colder_is_never_better(self, one: float, other: float) -> None:
        """The ratio falls as the cells warm."""
        cold, warm = sorted((one, other))
        assert cells.cold_ratio(cold, 20) >= cells.cold_ratio(warm, 20)

    @given(CELL)
    def test_is_one_at_the_reference(self, cell: float) -> None:
        """No change against itself."""
        assert cells.cold_ratio(cell, cell) == 1


class TestVerdict:
    """Three answers."""

    @pytest.mark.parametrize(
        ("reading", "verdict"),
        [
            (38.25, pack.Verdict.GO),
            (38.24, pack.Verdict.UNPROVEN),
            (37.75, pack.Verdict.UNPROVEN),
            (37.74, pack.Verdict.NO_GO),
        ],
    )
    def test_guard_band(self, reading: float, verdict: pack.Verdict) -> None:
        """Go from limit plus guard, no-go below limit less guard."""
        assert pack.verdict(reading, 38.0, 0.25) is verdict

    @given(st.floats(30, 45), st.floats(0.001, 0.05), st.integers(0, 9))
    def test_go_is_nearly_certain(self, reading: float, share: float, digits: int) -> None:
        """At guard U a go is wrong in under one case of forty."""
        judged = pack.judge(
            reading=reading, limit=38.0, reading_share=share, digits=digits, display_step=0.01, coverage=2.0
        )
        certain = NormalDist().cdf(2.0)
        assert judged.verdict is not pack.Verdict.GO or judged.probability >= certain - 1e-9
        assert judged.verdict is pack.Verdict.GO or judged.probability <= certain + 1e-9

    @pytest.mark.parametrize("key", ["pack.conformance", "pack.conformance.half_width"])
    def test_refuses_a_meter_without_error(self, key: str) -> None:
        """No meter is perfect."""
        values = {"reading": 38.0, "limit": 38.0, "reading_share": 0.0, "digits": 0.0, "display_step": 0.01}
        with pytest.raises(OutOfRange, match="must be greater than zero"):
            compute(key, values)


class TestInternalResistance:
    """Two loads."""

    @given(st.floats(36, 40), st.floats(0.005, 0.05), st.floats(0, 10), st.floats(11, 100))
    def test_undoes_the_load(self, rest: float, ohms: float, first: float, second: float) -> None:
        """Loads made with a resistance give it back."""
        one, other = (pack.loaded_voltage(rest, current, ohms) for current in (first, second))
        assert pack.internal_resistance(one, first, other, second) == pytest.approx(ohms, rel=1e-9)

    def test_refuses_equal_currents(self) -> None:
        """One load twice says nothing."""
        with pytest.raises(OutOfRange, match="second current must be greater"):
            pack.internal_resistance(39.5, 20, 39.5, 20)
