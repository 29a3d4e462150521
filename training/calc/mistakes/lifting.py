"""Wrong answers about lifting."""

from training.calc import lifting
from training.calc.lifting import (
    ASYMMETRY,
    FREQUENCY_FACTOR,
    GRIP_FACTOR,
    HORIZONTAL,
    LOAD,
    METRIC,
    RATE,
    TRAVEL,
    VERTICAL,
)
from training.calc.ranges import checked

HOUR = 3600.0


@checked()
def limit_constant() -> float:
    """The 23 kg of the best case (kg)."""
    return METRIC.constant


@checked(HORIZONTAL, VERTICAL, TRAVEL, ASYMMETRY)
def limit_no_frequency(horizontal: float, vertical: float, travel: float, asymmetry: float) -> float:
    """Frequency and grip left out (kg)."""
    return lifting.limit(
        horizontal=horizontal,
        vertical=vertical,
        travel=travel,
        asymmetry=asymmetry,
        frequency_multiplier=1.0,
        grip_multiplier=1.0,
    )


@checked(HORIZONTAL, VERTICAL, TRAVEL, ASYMMETRY, RATE, GRIP_FACTOR)
def limit_one_hour(
    *,
    horizontal: float,
    vertical: float,
    travel: float,
    asymmetry: float,
    lifts_per_minute: float,
    grip_multiplier: float,
) -> float:
    """Frequency multiplier of one hour's lifting (kg)."""
    return lifting.limit(
        horizontal=horizontal,
        vertical=vertical,
        travel=travel,
        asymmetry=asymmetry,
        frequency_multiplier=lifting.frequency_multiplier(lifts_per_minute, HOUR, vertical),
        grip_multiplier=grip_multiplier,
    )


@checked(LOAD)
def index_constant(load: float) -> float:
    """Load against 23 kg."""
    return load / METRIC.constant


@checked(LOAD, HORIZONTAL, VERTICAL, TRAVEL, ASYMMETRY, FREQUENCY_FACTOR, GRIP_FACTOR)
def index_upside_down(
    *,
    load: float,
    horizontal: float,
    vertical: float,
    travel: float,
    asymmetry: float,
    frequency_multiplier: float,
    grip_multiplier: float,
) -> float:
    """Limit over load."""
    return 1 / lifting.index(
        load=load,
        horizontal=horizontal,
        vertical=vertical,
        travel=travel,
        asymmetry=asymmetry,
        frequency_multiplier=frequency_multiplier,
        grip_multiplier=grip_multiplier,
    )


@checked(LOAD, HORIZONTAL, VERTICAL, TRAVEL, ASYMMETRY, RATE, GRIP_FACTOR)
def index_one_hour(
    *,
    load: float,
    horizontal: float,
    vertical: float,
    travel: float,
    asymmetry: float,
    lifts_per_minute: float,
    grip_multiplier: float,
) -> float:
    """Frequency multiplier of one hour's lifting."""
    return lifting.index(
        load=load,
        horizontal=horizontal,
        vertical=vertical,
        travel=travel,
        asymmetry=asymmetry,
        frequency_multiplier=lifting.frequency_multiplier(lifts_per_minute, HOUR, vertical),
        grip_multiplier=grip_multiplier,
    )
