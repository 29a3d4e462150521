"""Wind chill, index of 2001: what skin feels. Metal and packs never go below air temperature."""

import math
from typing import NamedTuple

from training.calc.ranges import OutOfRange, Slot, checked

KMH = 1 / 3.6  # m/s
MPH = 0.44704  # m/s

TEMPERATURE = Slot("temperature", "T", "degC", "air temperature", -60, 10)
WIND = Slot("wind", "V", "m/s", "wind speed 10 m above ground", 4 / 3, 30)
WIND_US = Slot("wind", "V", "m/s", "wind speed 10 m above ground", 3 * MPH - 1e-9, 30)
INDEX = Slot("index", "W", "1", "wind chill index", -90, 10, whole=True)


@checked(WIND)
def wind_power(wind: float) -> float:
    """Wind in km/h to the power 0.16: a line of the working."""
    return math.pow(wind / KMH, 0.16)


@checked(TEMPERATURE, WIND)
def index(temperature: float, wind: float) -> float:
    """Wind chill index, not rounded, from air temperature (degC) and wind (m/s); no unit.

    The Canadian form in degC and km/h. Round half away from zero to show it.
    """
    power = wind_power(wind)
    return 13.12 + 0.6215 * temperature - 11.37 * power + 0.3965 * temperature * power


@checked(TEMPERATURE, WIND_US)
def index_us(temperature: float, wind: float) -> float:
    """Wind chill (given in degC) by the United States form in degF and mph; shown in degF there.

    It differs from the Canadian form by up to 0.06 degC: keep to one form.
    """
    fahrenheit = temperature * 1.8 + 32
    power = math.pow(wind / MPH, 0.16)
    felt = 35.74 + 0.6215 * fahrenheit - 35.75 * power + 0.4275 * fahrenheit * power
    return (felt - 32) / 1.8


@checked(TEMPERATURE, WIND)
def object_temperature(temperature: float, wind: float) -> float:
    """Lowest temperature (degC) that wind brings a pack or a rail to: that of the air."""
    del wind  # it only decides how fast
    return temperature


class Frostbite(NamedTuple):
    """Frostbite of bare skin: seconds from and to (none where the risk is low), plain words."""

    soonest: float | None
    latest: float | None
    says: str


# coldest index of the band, what it means (Canadian scale, two agreeing copies)
FROSTBITE = (
    (-9, Frostbite(None, None, "Low risk.")),
    (-27, Frostbite(None, None, "Low risk of frostbite; hypothermia if out for long.")),
    (-39, Frostbite(600.0, 1800.0, "Frostbite in 10 to 30 minutes.")),
    (-47, Frostbite(300.0, 600.0, "Frostbite in 5 to 10 minutes.")),
    (-54, Frostbite(120.0, 300.0, "Frostbite in 2 to 5 minutes.")),
    (-90, Frostbite(0.0, 120.0, "Frostbite in under 2 minutes.")),
)


@checked(INDEX)
def frostbite(index: int) -> Frostbite:
    """Band of the Canadian scale for a rounded index."""
    return next(band for coldest, band in FROSTBITE if index >= coldest)


@checked(INDEX)
def frostbite_soonest(index: int) -> float:
    """Shortest time (s) to frostbite of bare skin at a rounded index of -28 or colder."""
    soonest = frostbite(index).soonest
    if soonest is None:
        raise OutOfRange("The wind chill index must be -28 or colder to give a time to frostbite.")
    return soonest
