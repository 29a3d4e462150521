"""Whole numbers from floats, up or down, not fooled by the last bit of a product."""

import math

SLACK = 1e-9  # relative; far above float noise, far below anything a person would print


def down(value: float) -> int:
    """Largest whole number that the value reaches, allowing for float noise."""
    return math.floor(value + SLACK * max(1.0, abs(value)))


def up(value: float) -> int:
    """Smallest whole number that holds the value, allowing for float noise."""
    return math.ceil(value - SLACK * max(1.0, abs(value)))
