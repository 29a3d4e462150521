"""Wind chill against both published charts, cell by cell, and thermofeel."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
import thermofeel

from training.calc import windchill
from training.calc.catalogue import compute

DATA = Path(__file__).parent / "data"


def chart(name: str) -> list[tuple[float, float, int]]:
    """Wind, temperature and printed index of every cell."""
    lines = [line for line in (DATA / name).read_text().splitlines() if not line.startswith("#")]
    return [
        (float(row["wind"]), float(column), int(cell))
        for row in csv.DictReader(lines)
        for column, cell in row.items()
        if column != "wind"
    ]


def rounded(value: float) -> int:
    """Half away from zero, as both services print."""
    return int(math.copysign(math.floor(abs(value) + 0.5), value))


CANADA = chart("wind_chill_canada.csv")  # Meteorological Service of Canada, 2006 archive (read, primary)
UNITED_STATES = chart("wind_chill_us.csv")  # National Weather Service, reconciled from three copies (read)


class TestCharts:
    """Both charts, every cell."""

    def test_all_cells_are_there(self) -> None:
        """192 Canadian and 216 United States cells."""
        assert (len(CANADA), len(UNITED_STATES)) == (192, 216)

    @pytest.mark.parametrize(("wind", "temperature", "cell"), CANADA)
    def test_canada(self, wind: float, temperature: float, cell: int) -> None:
        """km/h and degC."""
        assert rounded(windchill.index(temperature, wind / 3.6)) == cell

    @pytest.mark.parametrize(("wind", "fahrenheit", "cell"), UNITED_STATES)
    def test_united_states(self, wind: float, fahrenheit: float, cell: int) -> None:
        """mph and degF."""
        celsius = (fahrenheit - 32) / 1.8
        assert rounded(windchill.index_us(celsius, wind * 0.44704) * 1.8 + 32) == cell


class TestFormula:
    """Worked values of both printed forms (read), and a library."""

    @pytest.mark.parametrize(
        ("temperature", "wind", "value"),
        [(-30, 20, -43.09730647353592), (-25, 20, -36.78812594124342), (-20, 30, -32.56804447632105)],
    )
    def test_metric(self, temperature: float, wind: float, value: float) -> None:
        """degC and km/h."""
        assert windchill.index(temperature, wind / 3.6) == pytest.approx(value, rel=1e-12)

    def test_united_states(self) -> None:
        """0 degF and 15 mph in degF; -30 degC and 20 km/h (-22 degF and 12.43 mph) in degC."""
        found = windchill.index_us(-32 / 1.8, 15 * 0.44704)
        assert found * 1.8 + 32 == pytest.approx(-19.397954107996384, rel=1e-12)
        assert windchill.index_us(-30, 20 / 3.6) == pytest.approx(-43.06179545441277, rel=1e-11)

    @pytest.mark.parametrize("temperature", [-50, -30, -10, 5])
    @pytest.mark.parametrize("wind", [1.5, 5.0, 15.0, 27.0])
    def test_thermofeel(self, temperature: float, wind: float) -> None:
        """thermofeel, an independent library, takes and gives kelvin and takes m/s."""
        theirs = thermofeel.calculate_wind_chill(np.array([temperature + 273.15]), np.array([wind]))
        assert windchill.index(temperature, wind) == pytest.approx(float(theirs[0]) - 273.15, abs=1e-6)

    @pytest.mark.parametrize("temperature", range(-50, 11, 5))
    @pytest.mark.parametrize("wind", range(5, 101, 5))
    def test_two_forms_nearly_agree(self, temperature: int, wind: int) -> None:
        """Worked: the forms differ by at most 0.06 degC from -50 to 10 degC and 5 to 100 km/h."""
        metric = windchill.index(temperature, wind / 3.6)
        assert windchill.index_us(temperature, wind / 3.6) == pytest.approx(metric, abs=0.065)


class TestFrostbite:
    """Canadian scale (read in two copies)."""

    @pytest.mark.parametrize(
        ("warm", "cold", "soonest", "latest"),
        [
            (0, -9, None, None),
            (-10, -27, None, None),
            (-28, -39, 600, 1800),
            (-40, -47, 300, 600),
            (-48, -54, 120, 300),
            (-55, -80, 0, 120),
        ],
    )
    def test_bands(self, warm: int, cold: int, soonest: float | None, latest: float | None) -> None:
        """Both ends of each band."""
        for index in (warm, cold):
            band = windchill.frostbite(index)
            assert (band.soonest, band.latest) == (soonest, latest)


class TestWrongAnswers:
    """-25 degC and 20 km/h."""

    def test_index(self) -> None:
        """The answer and the three named wrong ones."""
        values = {"temperature": -25.0, "wind": 20 / 3.6}
        assert rounded(compute("windchill.index", values)) == -37
        assert rounded(compute("windchill.index.half_wind", values)) == -35
        assert rounded(compute("windchill.index.metres", values)) == -30
        assert compute("windchill.index.air", {"temperature": -25.0}) == -25

    def test_pack(self) -> None:
        """Objects do not go below air temperature (US National Weather Service text, read)."""
        values = {"temperature": -25.0, "wind": 20 / 3.6}
        assert compute("windchill.object_temperature", values) == -25
        assert rounded(compute("windchill.object_temperature.index", values)) == -37
