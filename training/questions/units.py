"""Units a question or an answer may use: a closed list, with exact factors.

Factors come from pint with fractions, and pint is only ever given the constants of this file: what a
person types is looked up, never parsed by it. Temperatures are points on a scale when the wanted unit
is degC or degF and differences when it is K (a rise of 20 degC is a rise of 20 K, but 20 degC is 293.15 K).
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Any

import pint

_PINT: pint.UnitRegistry[Any] = pint.UnitRegistry(non_int_type=Fraction)

# spelling: (pint's name, printed symbol, allowed prefixes)
_ATOMS = {
    "V": ("volt", "V", "umkM"), "A": ("ampere", "A", "umkM"), "ohm": ("ohm", "Ω", "numkM"),
    "W": ("watt", "W", "mkM"), "J": ("joule", "J", "mkM"), "Wh": ("watt_hour", "Wh", "mkM"),
    "Ah": ("ampere_hour", "Ah", "m"), "C": ("coulomb", "C", "mk"), "s": ("second", "s", "num"),
    "min": ("minute", "min", ""), "h": ("hour", "h", ""), "day": ("day", "days", ""),
    "m": ("meter", "m", "numck"), "in": ("inch", "in", ""), "ft": ("foot", "ft", ""), "mile": ("mile", "mi", ""),
    "g": ("gram", "g", "mk"), "lb": ("pound", "lb", ""), "N": ("newton", "N", "kM"), "Pa": ("pascal", "Pa", "kM"),
    "bar": ("bar", "bar", "m"), "Hz": ("hertz", "Hz", "kM"), "l": ("liter", "l", "m"),
    "K": ("kelvin", "K", ""), "degC": ("degC", "°C", ""), "degF": ("degF", "°F", ""),
}  # fmt: skip
# Decibels are a logarithm, which no exact factor converts; a count has no unit but people write the thing counted.
_PLAIN = {"dB": ("dB", Fraction(1)), "dBA": ("dBA", Fraction(1))}
_COUNTS = {"1": "", "%": "%", "shots": "shots", "bonds": "bonds", "packs": "packs", "pins": "pins", "people": "people"}
_PREFIXES = {"n": -9, "u": -6, "m": -3, "c": -2, "k": 3, "M": 6}
_PREFIX_SYMBOLS = {"u": "µ"}
_SCALES = ("degC", "degF")
THERMAL = ("degC", "degF", "K")

Dimensions = tuple[tuple[str, int], ...]


class UnknownUnit(ValueError):
    """The spelling is no unit of the list."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its spelling here, its printed symbol, its factor to SI and, for a temperature scale, its zero in K."""

    spelling: str
    symbol: str
    factor: Fraction
    dimensions: Dimensions
    zero: Fraction = Fraction(0)


def _pint_unit(spelling: str, name: str, symbol: str, prefix: str = "") -> Unit:
    one, none = (_PINT.Quantity(Fraction(n), name).to_base_units() for n in (1, 0))
    dimensions = tuple(sorted((base.strip("[]"), int(str(power))) for base, power in one.dimensionality.items()))
    factor = (one.magnitude - none.magnitude) * Fraction(10) ** _PREFIXES.get(prefix, 0)
    return Unit(prefix + spelling, _PREFIX_SYMBOLS.get(prefix, prefix) + symbol, factor, dimensions, none.magnitude)


def _atoms() -> Mapping[str, Unit]:
    units = {
        spelling: Unit(spelling, symbol, factor, (("sound level", 1),)) for spelling, (symbol, factor) in _PLAIN.items()
    }
    for spelling, symbol in _COUNTS.items():
        units[spelling] = Unit(spelling, symbol, Fraction(1, 100 if spelling == "%" else 1), ())
    for spelling, (name, symbol, prefixes) in _ATOMS.items():
        for prefix in ("", *prefixes):
            units[prefix + spelling] = _pint_unit(spelling, name, symbol, prefix)
    return MappingProxyType(units)


ATOMS = _atoms()
_POWERS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_TOKEN = re.compile(r"(?P<sign>[*/()])|(?P<atom>[A-Za-z%]+|1)(?:\^?(?P<power>-?[1-9]))?")


def factors(spelling: str) -> list[tuple[str, int]]:
    """Split a compound such as ``ohm*mm2/m`` or ``J/(kg*K)`` into (atom, power) pairs. Raises UnknownUnit."""
    pairs: list[tuple[str, int]] = []
    place, sense, inside, wanted = 0, 1, False, True
    while place < len(spelling):
        token = _TOKEN.match(spelling, place)
        if token is None:
            raise UnknownUnit(spelling)
        place, sign = token.end(), token["sign"]
        if sign is None and wanted:
            pairs.append((token["atom"], sense * int(token["power"] or 1)))
            sense, wanted = sense if inside else 1, False
        elif sign == "(" and wanted and not inside:
            inside = True
        elif sign == ")" and inside and not wanted:
            inside, sense = False, 1
        elif sign in ("*", "/") and not wanted and not (inside and sign == "/"):
            sense, wanted = -1 if sign == "/" else sense, True
        else:
            raise UnknownUnit(spelling)
    if wanted or inside:
        raise UnknownUnit(spelling)
    return pairs


@lru_cache(maxsize=512)
def unit(spelling: str) -> Unit:
    """Return the unit of an exact spelling, such as ``mohm/m``. Raises UnknownUnit."""
    return ATOMS[spelling] if spelling in ATOMS else _compound(spelling)


def _compound(spelling: str) -> Unit:
    factor, powers = Fraction(1), dict[str, int]()
    symbols: tuple[list[str], list[str]] = ([], [])
    for atom, power in factors(spelling):
        if atom not in ATOMS:
            raise UnknownUnit(spelling)
        factor *= ATOMS[atom].factor ** power
        for base, count in ATOMS[atom].dimensions:
            powers[base] = powers.get(base, 0) + count * power
        if atom != "1":
            symbols[power < 0].append(
                ATOMS[atom].symbol + (str(abs(power)).translate(_POWERS) if abs(power) > 1 else "")
            )
    above, below = ("·".join(part) for part in symbols)
    below = f"({below})" if len(symbols[1]) > 1 else below
    symbol = f"{above or 1}/{below}" if below else above
    return Unit(spelling, symbol, factor, tuple(sorted((base, count) for base, count in powers.items() if count)))


_NAMES = {
    "1": "a plain number",
    "V": "voltage",
    "A": "current",
    "ohm": "resistance",
    "W": "power",
    "J": "energy",
    "C": "charge",
    "s": "time",
    "m": "length",
    "m2": "area",
    "m3": "volume",
    "kg": "mass",
    "N": "force",
    "Pa": "pressure",
    "Hz": "frequency",
    "dB": "sound level",
    "ohm*m": "resistivity",
    "ohm/m": "resistance per length",
    "m/s": "speed",
    "m/s2": "acceleration",
    "K/s": "rate of temperature",
    "1/K": "temperature coefficient",
    "kg/m3": "density",
    "J/(kg*K)": "specific heat",
    "J/kg": "energy per mass",
    "kg/m": "mass per length",
    "K": "temperature difference",
}
_DIMENSION_NAMES = {unit(spelling).dimensions: name for spelling, name in _NAMES.items()}


def dimension(spelling: str) -> str:
    """Return the dimension in words: ``voltage``, ``temperature``, ``temperature difference``. Raises UnknownUnit."""
    if spelling in _SCALES:
        return "temperature"
    dimensions = unit(spelling).dimensions
    return _DIMENSION_NAMES.get(dimensions) or " ".join(f"{base}^{power}" for base, power in dimensions)


def fits(of: str, into: str) -> bool:
    """Say whether a quantity in the first unit can be turned into the second. Raises UnknownUnit."""
    return unit(of).dimensions == unit(into).dimensions


@lru_cache(maxsize=2048)
def line(of: str, into: str) -> tuple[tuple[int, int], Fraction | None]:
    """Return the factor, as two whole numbers, and the shift that turn one unit into another. Raises as ``convert``."""
    first, second = unit(of), unit(into)
    if not fits(of, into):
        raise ValueError(f"{dimension(of)} is not {dimension(into)}")
    shift = (first.zero - second.zero) / second.factor if into in _SCALES else None
    return (first.factor / second.factor).as_integer_ratio(), shift or None


def convert(value: Fraction | Decimal, of: str, into: str) -> Fraction:
    """Return the value of one unit in another, exactly. Raises UnknownUnit, or ValueError if the dimensions differ."""
    (times, by), shift = line(of, into)
    top, bottom = value.as_integer_ratio()
    found = Fraction(top * times, bottom * by)
    return found if shift is None else found + shift


def as_float(value: Fraction, of: str, into: str) -> float:
    """Return ``convert`` as the nearest float. Raises as ``convert``."""
    (times, by), shift = line(of, into)
    if shift is not None:
        return float(convert(value, of, into))
    top, bottom = value.as_integer_ratio()
    return (top * times) / (bottom * by)


def _si(spelling: str) -> str:
    return "degC" if spelling in _SCALES else ""


def to_si(value: Fraction, spelling: str) -> Fraction:
    """Return a value in SI base units, exactly; a temperature in degC, a difference in K. Raises UnknownUnit."""
    return convert(value, spelling, _si(spelling)) if _si(spelling) else value * unit(spelling).factor


def from_si(value: Fraction, spelling: str) -> Fraction:
    """Undo ``to_si``."""
    return convert(value, _si(spelling), spelling) if _si(spelling) else value / unit(spelling).factor
