"""Rounding as people are taught it, done on exact numbers.

Python's own ``round`` works on binary floats and rounds ties to even, so ``round(2.675, 2)`` is 2.67
and ``round(0.125, 2)`` is 0.12 (Python documentation, built-in functions). Both would fail a person
who rounds by hand.
"""

import math
from decimal import Decimal
from fractions import Fraction

Number = Fraction | Decimal | int | float

ROUNDINGS = ("nearest", "up", "down")
NARROW_SPACE = "\N{NO-BREAK SPACE}"
MINUS = "\N{MINUS SIGN}"


def exact(value: Number) -> Fraction:
    """Return the number as a fraction; a float is first taken to 12 significant digits.

    A computed float carries noise in its last digits; without it 59.99999999999999 shots would round
    down to 59. Raises ValueError for an infinite or undefined number.
    """
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError("the number is not finite")
        return Fraction(f"{value:.12g}")
    return Fraction(value)


def round_half_up(value: Number, decimals: int) -> Fraction:
    """Round to so many decimals, a half going away from zero. Negative decimals round to tens and so on."""
    scale = Fraction(10) ** decimals
    number = exact(value) * scale
    whole = math.floor(abs(number) + Fraction(1, 2))
    return (whole if number >= 0 else -whole) / scale


def rounded(value: Number, decimals: int, how: str) -> Fraction:
    """Round by one of ROUNDINGS; "up" is towards plus infinity, "down" towards minus infinity."""
    scale = Fraction(10) ** decimals
    if how == "up":
        return math.ceil(exact(value) * scale) / scale
    if how == "down":
        return math.floor(exact(value) * scale) / scale
    return round_half_up(value, decimals)


def written(value: Number, decimals: int) -> str:
    """Return the number, rounded half up, as plain digits: ``-0.50``. Never an exponent, never ``-0``."""
    number = round_half_up(value, decimals)
    digits = f"{abs(number.numerator) * 10 ** max(decimals, 0) // number.denominator:0{max(decimals, 0) + 1}d}"
    text = f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals > 0 else digits
    return f"-{text}" if number < 0 else text


def printed(text: str, symbol: str) -> str:
    """Return plain digits and a unit's symbol as set in running text, with a real minus sign."""
    number = text.replace("-", MINUS)
    return f"{number}{NARROW_SPACE}{symbol}" if symbol else number


def half_step(decimals: int) -> Fraction:
    """Return half of the last digit shown: what correct rounding alone can move an answer by."""
    return Fraction(1, 2) / Fraction(10) ** decimals
