"""Wrong answers about the leads."""

from training.calc import leads
from training.calc.leads import AREA, CURRENT, LENGTH, PER_METRE, TEMPERATURE, TIME
from training.calc.ranges import checked


@checked(TEMPERATURE)
def factor_wrong_sign(temperature: float) -> float:
    """Copper worse in the cold."""
    return 1 - leads.ALPHA * (temperature - 20)


@checked(TEMPERATURE)
def factor_from_zero(temperature: float) -> float:
    """Coefficient times the temperature itself, not its difference from 20."""
    return 1 + leads.ALPHA * temperature


@checked()
def factor_none() -> float:
    """No change."""
    return 1.0


@checked(TEMPERATURE)
def factor_backwards(temperature: float) -> float:
    """The factor that goes back to 20 degC."""
    return leads.correction_to_20(temperature)


@checked(TEMPERATURE)
def correction_forwards(temperature: float) -> float:
    """The factor that leaves 20 degC."""
    return leads.copper_factor(temperature)


@checked(PER_METRE, LENGTH)
def resistance_one_lead(resistance_per_metre: float, lead_length: float) -> float:
    """One lead (ohm)."""
    return resistance_per_metre * lead_length


@checked(AREA, LENGTH)
def resistance_nominal(area: float, lead_length: float) -> float:
    """Both leads as solid copper of the nominal area (ohm)."""
    return leads.solid_per_metre(area) * 2 * lead_length


@checked(PER_METRE, LENGTH)
def resistance_per_kilometre(resistance_per_metre: float, lead_length: float) -> float:
    """Ohms for each km taken as ohms for each m (ohm)."""
    return leads.resistance(resistance_per_metre, lead_length) * 1000


@checked(PER_METRE, LENGTH)
def cold_no_correction(resistance_per_metre: float, lead_length: float) -> float:
    """Resistance at 20 degC (ohm)."""
    return leads.resistance(resistance_per_metre, lead_length)


@checked(PER_METRE, LENGTH, TEMPERATURE)
def cold_wrong_sign(resistance_per_metre: float, lead_length: float, temperature: float) -> float:
    """Copper worse in the cold (ohm)."""
    return leads.resistance(resistance_per_metre, lead_length) * factor_wrong_sign(temperature)


@checked(PER_METRE, LENGTH, TEMPERATURE)
def cold_from_zero(resistance_per_metre: float, lead_length: float, temperature: float) -> float:
    """Coefficient times the temperature itself (ohm)."""
    return leads.resistance(resistance_per_metre, lead_length) * factor_from_zero(temperature)


@checked(PER_METRE, LENGTH, TEMPERATURE)
def cold_one_lead(resistance_per_metre: float, lead_length: float, temperature: float) -> float:
    """One lead (ohm)."""
    return resistance_one_lead(resistance_per_metre, lead_length) * leads.copper_factor(temperature)


@checked(PER_METRE, LENGTH, CURRENT)
def drop_one_lead(resistance_per_metre: float, lead_length: float, current: float) -> float:
    """One lead (V)."""
    return resistance_one_lead(resistance_per_metre, lead_length) * current


@checked(AREA, LENGTH, CURRENT)
def drop_nominal(area: float, lead_length: float, current: float) -> float:
    """Both leads as solid copper of the nominal area (V)."""
    return resistance_nominal(area, lead_length) * current


@checked(PER_METRE, LENGTH, CURRENT)
def drop_per_kilometre(resistance_per_metre: float, lead_length: float, current: float) -> float:
    """Ohms for each km taken as ohms for each m (V)."""
    return resistance_per_kilometre(resistance_per_metre, lead_length) * current


@checked(CURRENT, TIME, AREA)
def rise_not_squared(current: float, shot_time: float, area: float) -> float:
    """Current not squared (K)."""
    return leads.shot_rise(current, shot_time, area) / current


@checked(CURRENT, AREA)
def rise_no_time(current: float, area: float) -> float:
    """A shot of one second (K)."""
    return leads.shot_rise(current, 1.0, area)
