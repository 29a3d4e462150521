"""Wrong answers about wind chill."""

import math

from training.calc import windchill
from training.calc.ranges import checked
from training.calc.windchill import KMH, MPH, TEMPERATURE, WIND, WIND_US


@checked(TEMPERATURE, WIND)
def index_half_wind(temperature: float, wind: float) -> float:
    """Half the wind in km/h taken off."""
    return temperature - wind / KMH / 2


@checked(TEMPERATURE, WIND)
def index_metres(temperature: float, wind: float) -> float:
    """Metres per second in the formula for km/h."""
    power = math.pow(wind, 0.16)
    return 13.12 + 0.6215 * temperature - 11.37 * power + 0.3965 * temperature * power


@checked(TEMPERATURE)
def index_air(temperature: float) -> float:
    """Air temperature."""
    return temperature


@checked(TEMPERATURE, WIND_US)
def index_us_half_wind(temperature: float, wind: float) -> float:
    """Half the wind in mph taken off degF (degC)."""
    return temperature - wind / MPH / 2 / 1.8


@checked(TEMPERATURE, WIND)
def object_index(temperature: float, wind: float) -> float:
    """Wind chill, which only skin has (degC)."""
    return windchill.index(temperature, wind)


@checked(TEMPERATURE, WIND)
def object_halfway(temperature: float, wind: float) -> float:
    """Halfway from air to wind chill (degC)."""
    return (temperature + windchill.index(temperature, wind)) / 2
