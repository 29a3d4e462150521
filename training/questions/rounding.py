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

    Raises ValueError for an infinite or undefined number.
    """
    return (
        value
        if isinstance(value, Fraction)
        else Fraction(*(significant(value) if isinstance(value, float) else value).as_integer_ratio())
    )


def significant(value: float) -> Decimal:
    """Return a computed float to 12 significant digits. Raises ValueError for an infinite or undefined one.

    It carries noise in its last digits; with them 59.99999999999999 shots would round down to 59.
    """
    if not math.isfinite(value):
        raise ValueError("the number is not finite")
    return Decimal(f"{value:.12g}")


def round_half_up(value: Number, decimals: int) -> Fraction:
    """Round to so many decimals, a half going away from zero. Negative decimals round to tens and so on."""
    return at_place(last_digits(value, decimals), decimals)


def rounded(value: Number, decimals: int, how: str) -> Fraction:
    """Round by one of ROUNDINGS; "up" is towards plus infinity, "down" towards minus infinity."""
    return at_place(last_digits(value, decimals, how), decimals)


def last_digits(value: Number, decimals: int, how: str = "nearest") -> int:
    """Return how many units of the last place the number rounds to, by one of ROUNDINGS.

    Whole numbers throughout: a fraction for every step would cost more than all else in a draw.
    """
    top, bottom = (significant(value) if isinstance(value, float) else value).as_integer_ratio()
    if decimals < 0:
        bottom *= 10**-decimals
    else:
        top *= 10**decimals
    if how == "up":
        return -(-top // bottom)
    if how == "down":
        return top // bottom
    count = (2 * abs(top) + bottom) // (2 * bottom)
    return count if top >= 0 else -count


def at_place(count: int, decimals: int) -> Fraction:
    """Return so many units of the last place as a number."""
    return Fraction(count, 10**decimals) if decimals >= 0 else Fraction(count * 10**-decimals)


def written(value: Number, decimals: int) -> str:
    """Return the number, rounded half up, as plain digits: ``-0.50``. Never an exponent, never ``-0``."""
    return as_digits(last_digits(value, decimals), decimals)


def as_digits(count: int, decimals: int) -> str:
    """Return so many units of the last place as plain digits."""
    if decimals <= 0:
        return str(count * 10**-decimals)
    digits = f"{abs(count):0{decimals + 1}d}"
    return f"{'-' if count < 0 else ''}{digits[:-decimals]}.{digits[-decimals:]}"


def printed(text: str, symbol: str) -> str:
    """Return plain digits and a unit's symbol as set in running text, with a real minus sign."""
    number = text.replace("-", MINUS)
    return f"{number}{NARROW_SPACE}{symbol}" if symbol else number


def half_step(decimals: int) -> Fraction:
    """Return half of the last digit shown: what correct rounding alone can move an answer by."""
    return Fraction(1, 2) / Fraction(10) ** decimals
