"""Wind chill: more wind feels colder; a pack does not feel."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.calc import windchill
from training.calc.ranges import OutOfRange

COLD = st.floats(-50, 5)
WIND = st.floats(1.4, 27)


class TestIndex:
    """Both forms."""

    @given(COLD, WIND, WIND)
    def test_more_wind_feels_colder(self, temperature: float, one: float, other: float) -> None:
        """At one temperature."""
        calm, windy = sorted((one, other))
        assert windchill.index(temperature, windy) <= windchill.index(temperature, calm)
        assert windchill.index_us(temperature, windy) <= windchill.index_us(temperature, calm) + 1e-9

    @given(COLD, COLD, WIND)
    def test_colder_air_feels_colder(self, one: float, other: float, wind: float) -> None:
        """At one wind."""
        cold, warm = sorted((one, other))
        assert windchill.index(cold, wind) <= windchill.index(warm, wind)

    @given(COLD, WIND)
    def test_a_pack_stays_at_air_temperature(self, temperature: float, wind: float) -> None:
        """Whatever the wind."""
        assert windchill.object_temperature(temperature, wind) == temperature

    def test_refuses_calm_air(self) -> None:
        """The formula begins at 4.8 km/h."""
        with pytest.raises(OutOfRange, match=r"wind speed 10 m above ground must be from 1\.33333 to 30 m/s"):
            windchill.index(-20, 1.0)


class TestFrostbite:
    """Times to frostbite."""

    def test_soonest(self) -> None:
        """Ten minutes at -28, five at -40."""
        assert [windchill.frostbite_soonest(index) for index in (-28, -40)] == [600, 300]

    def test_refuses_where_the_risk_is_low(self) -> None:
        """The sentence says where times begin."""
        with pytest.raises(OutOfRange, match="-28 or colder"):
            windchill.frostbite_soonest(-27)
