"""Pack figures against worked values and the measured table they come from."""

import csv
import math
from pathlib import Path
from statistics import NormalDist

import pytest

from training.calc import cells, pack
from training.calc.catalogue import compute

TABLE = Path(__file__).parent / "data" / "lfp_rest_voltage.csv"
EXACT = {"rel": 1e-12}


def table() -> list[tuple[float, float, float]]:
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    return [tuple(map(float, row.values())) for row in csv.DictReader(lines)]  # type: ignore[misc]


class TestSeriesVoltage:
    """Kirchhoff's voltage law; sums worked here by hand."""

    @pytest.mark.parametrize(("readings", "total"), [((13.21, 13.18, 13.25), 39.64), ((12.66, 12.67, 12.67), 38.0)])
    def test_adds_three_readings(self, readings: tuple[float, float, float], total: float) -> None:
        """Three readings add to the pack."""
        assert pack.series_voltage(*readings) == pytest.approx(total, **EXACT)

    def test_shares_among_twelve_cells(self) -> None:
        """38.0 V over twelve cells, worked by hand."""
        assert pack.cell_voltage(38.0) == 3.1666666666666665

    def test_spread(self) -> None:
        """Highest less lowest of the same three readings, in any order."""
        assert pack.spread(13.21, 13.25, 13.18) == pytest.approx(0.07, abs=1e-12)
        assert pack.spread(12.66, 12.67, 12.67) == pytest.approx(0.01, abs=1e-12)


class TestChargeBand:
    """The table of measured rest voltages (derived from Plett's ESC toolbox test data, C/27, 25 degC)."""

    def test_package_carries_the_measured_table(self) -> None:
        """The thirty points in the package are those of the derived table."""
        assert list(cells.REST_VOLTAGE) == table()

    @pytest.mark.parametrize("row", table())
    def test_meets_every_measured_point(self, row: tuple[float, float, float]) -> None:
        """At a measured point the rest voltages are twelve cells of it."""
        state, discharged, charged = row
        assert cells.rest_voltage_low(state) == pytest.approx(12 * discharged, **EXACT)
        assert cells.rest_voltage_high(state) == pytest.approx(12 * charged, **EXACT)

    @pytest.mark.parametrize(
        ("volts", "low", "high"),
        [
            (38.0, 0.083, 0.108),
            (38.5, 0.101, 0.176),
            (39.0, 0.168, 0.302),
            (39.5, 0.250, 0.511),
            (40.0, 0.575, 0.823),
            (40.5, 0.935, 0.967),
        ],
    )
    def test_perfect_meter(self, volts: float, low: float, high: float) -> None:
        """Bands of the derived table with a perfect meter, three decimals."""
        assert cells.charge_band(volts, 0) == pytest.approx((low, high), abs=6e-4)

    @pytest.mark.parametrize(
        ("volts", "low", "high"),
        [
            (38.0, 0.076, 0.120),
            (38.5, 0.093, 0.218),
            (39.0, 0.129, 0.362),
            (39.5, 0.211, 0.693),
            (40.0, 0.333, 0.944),
            (40.5, 0.747, 0.975),
        ],
    )
    def test_real_meter(self, volts: float, low: float, high: float) -> None:
        """Bands of the derived table with a meter good to 0.21 V."""
        assert cells.charge_band(volts, 0.21) == pytest.approx((low, high), abs=6e-4)

    @pytest.mark.parametrize(
        ("volts", "low", "high"),
        [(38.0, 0, 0), (38.5, 0, 9), (39.0, 8, 24), (39.5, 17, 49), (40.0, 56, 86), (40.5, 100, 104)],
    )
    def test_shots_left(self, volts: float, low: int, high: int) -> None:
        """Shots of 420 A s in 14 Ah (120 full) above a tenth in reserve, worked from the derived table."""
        assert cells.shots_low(volts, 0, 120, 0.1) == low
        assert cells.shots_high(volts, 0, 120, 0.1) == high

    def test_plateau_is_nearly_flat(self) -> None:
        """Slope of the discharged pack, derived: 9.3 mV a per cent (40-60 %), 14.6 (50-90 %)."""
        low = cells.rest_voltage_low
        assert (low(0.6) - low(0.4)) / 20 == pytest.approx(9.3e-3, abs=5e-5)
        assert (low(0.9) - low(0.5)) / 40 == pytest.approx(14.6e-3, abs=5e-5)


class TestMeter:
    """Guard bands: JCGM 100:2008 4.3.7 (from memory), ILAC-G8:09/2019 (read), worked values."""

    METER = (0.005, 2, 0.01)

    def test_uncertainty(self) -> None:
        """0.5 % and two digits of 10 mV at 38 V: a, u and U."""
        assert pack.meter_half_width(38, *self.METER) == pytest.approx(0.21, **EXACT)
        assert pack.meter_standard(38, *self.METER) == pytest.approx(0.12124355652982141, **EXACT)
        assert pack.meter_expanded(38, *self.METER) == pytest.approx(0.24248711305964282, **EXACT)
        assert NormalDist().inv_cdf(0.95) * pack.meter_standard(38, *self.METER) == pytest.approx(
            0.1994279037025726, rel=1e-9
        )

    def test_spread_of_a_rectangular_error(self) -> None:
        """A rectangular error of half width a has standard deviation a over root three (JCGM 100:2008)."""
        n = 2001
        errors = [0.21 * (2 * i / (n - 1) - 1) for i in range(n)]
        spread = math.sqrt(sum(e * e for e in errors) / n)
        assert pack.meter_standard(38, *self.METER) == pytest.approx(spread, rel=1e-3)

    @pytest.mark.parametrize(
        ("volts", "chance", "at_u", "at_one_sided"),
        [
            (38.00, 0.5, pack.Verdict.UNPROVEN, pack.Verdict.UNPROVEN),
            (38.15, 0.8919897095222684, pack.Verdict.UNPROVEN, pack.Verdict.UNPROVEN),
            (38.20, 0.9504847673518503, pack.Verdict.UNPROVEN, pack.Verdict.GO),
            (38.25, 0.9803944776132002, pack.Verdict.GO, pack.Verdict.GO),
        ],
    )
    def test_judgement(self, volts: float, chance: float, at_u: pack.Verdict, at_one_sided: pack.Verdict) -> None:
        """Verdict at guard U and at 1.645 u with the conformance probability (JCGM 106:2012, from memory)."""
        share, digits, step = self.METER

        def judged(coverage: float) -> pack.Judgement:
            return pack.judge(
                reading=volts,
                limit=38,
                reading_share=share,
                digits=digits,
                display_step=step,
                coverage=coverage,
            )

        assert judged(2.0).verdict is at_u
        assert judged(1.645).verdict is at_one_sided
        assert judged(2.0).probability == pytest.approx(chance, rel=1e-11)

    def test_guard_keeps_false_acceptance_under_one_in_forty(self) -> None:
        """A pack exactly at the limit reads at or above limit plus U in less than 2.5 % (ILAC-G8:09/2019)."""
        assert 1 - NormalDist().cdf(2.0) < 0.025

    def test_lowest_proving(self) -> None:
        """0.8 % and three digits: 38.39, and the three named wrong answers."""
        values = {"limit": 38.0, "reading_share": 0.008, "digits": 3, "display_step": 0.01}
        assert compute("pack.lowest_proving", values) == pytest.approx(38.39, abs=5e-3)
        assert compute("pack.lowest_proving.no_guard", {"limit": 38.0}) == 38.0
        assert compute("pack.lowest_proving.unsafe_guard", values) == pytest.approx(37.61, abs=5e-3)
        assert compute("pack.lowest_proving.half_width", values) == pytest.approx(38.33, abs=5e-3)


class TestInternalResistance:
    """Two-load method of IEC 61960-3 (read second hand), worked values."""

    def test_two_loads(self) -> None:
        """0.45 V for 18 A and 4.8 V for 240 A."""
        assert pack.internal_resistance(39.50, 2, 39.05, 20) == pytest.approx(0.025, rel=1e-11)
        assert pack.internal_resistance(39.6, 0, 34.8, 240) == pytest.approx(0.020, rel=1e-11)

    def test_uncertainty_by_finite_differences(self) -> None:
        """First-order propagation (JCGM 100:2008) by nudging each of the four readings."""
        readings, errors = [39.50, 2.0, 39.05, 20.0], [0.01, 0.1, 0.01, 0.1]
        total = 0.0
        for place, error in enumerate(errors):
            up, down = readings.copy(), readings.copy()
            up[place] += error / 1000
            down[place] -= error / 1000
            slope = (pack.internal_resistance(*up) - pack.internal_resistance(*down)) / 2e-3
            total += slope**2
        found = pack.internal_resistance_uncertainty(
            first_voltage=39.50,
            first_current=2,
            second_voltage=39.05,
            second_current=20,
            voltage_uncertainty=0.01,
            current_uncertainty=0.1,
        )
        assert found == pytest.approx(0.0008098544298396254, rel=1e-11)
        assert found == pytest.approx(math.sqrt(total), rel=1e-6)

    def test_wrong_answers(self) -> None:
        """39.96 V at 2 A and 39.38 V at 25 A: 25.2 mohm and the four named wrong answers."""
        values = {
            "first_voltage": 39.96,
            "first_current": 2.0,
            "second_voltage": 39.38,
            "second_current": 25.0,
        }

        def milli(key: str, *names: str) -> float:
            picked = {name: values[name] for name in names or values}
            return round(1000 * compute(key, picked), 1)

        assert milli("pack.internal_resistance") == 25.2
        assert milli("pack.internal_resistance.ohms_law", "second_voltage", "second_current") == 1575.2
        first = ("first_voltage", "second_voltage", "second_current")
        assert milli("pack.internal_resistance.first_ignored", *first) == 23.2
        assert milli("pack.internal_resistance.added") == 21.5
        assert milli("pack.internal_resistance.third") == 8.4

    def test_loaded_voltage(self) -> None:
        """39.6 V less 240 A through 20 mohm."""
        assert pack.loaded_voltage(39.6, 240, 0.020) == 34.800000000000004


class TestCold:
    """Resistance against cell temperature (derived from pulse tests of the same cell)."""

    @pytest.mark.parametrize(
        ("cell", "ratio"),
        [
            (5, 1.5829486223370755),
            (-5, 2.596536277746586),
            (-15, 5.246701531969865),
            (-25, 10.886682224768816),
        ],
    )
    def test_ratio_to_20(self, cell: float, ratio: float) -> None:
        """ln R straight in 1/T between the measured points, against 20 degC."""
        assert cells.cold_ratio(cell, 20) == pytest.approx(ratio, rel=1e-12)

    def test_ratio_to_25(self) -> None:
        """121.80 over 10.02 mohm, two measured points."""
        assert cells.cold_ratio(-25, 25) == pytest.approx(121.80 / 10.02, rel=1e-12)

    def test_break_even(self) -> None:
        """9.972 mohm of leads against a 20 mohm pack."""
        found = cells.break_even_temperature(0.020, 0.009972)
        assert found == pytest.approx(6.5396678147114615, rel=1e-11)
        assert 0.020 * (cells.cold_ratio(found, 20) - 1) == pytest.approx(0.009972, rel=1e-11)

    def test_wrong_answers(self) -> None:
        """20 mohm warm, cells at -5 degC: 51.93, and copper's factor, division and no change."""
        values = {"pack_resistance": 0.020, "cold_ratio": cells.cold_ratio(-5, 20)}
        assert compute("pack.cold_resistance", values) == pytest.approx(51.93e-3, abs=5e-6)
        copper = {"pack_resistance": 0.020, "air_temperature": -30.0}
        assert compute("pack.cold_resistance.copper_factor", copper) == pytest.approx(16.1e-3, abs=5e-5)
        assert compute("pack.cold_resistance.divided", values) == pytest.approx(7.7e-3, abs=5e-5)
        assert compute("pack.cold_resistance.no_change", {"pack_resistance": 0.020}) == 0.020
