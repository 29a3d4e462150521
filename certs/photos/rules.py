"""What a photo may be, and what is told to who sent another thing."""

from enum import StrEnum

MOST_BYTES = 12_000_000
MOST_PIXELS = 50_000_000
# Longest side of what is kept, in pixels: a fillet can be judged on it, and a weak signal can carry it.
LONGEST_SIDE = 1600
QUALITY = 85
# Of one record; a phone that sends more is broken or not a phone.
MOST_OF_ONE = 12


class Fault(StrEnum):
    """Why a file is not taken as a photo."""

    EMPTY = "empty"
    TOO_LONG = "too long"
    NOT_A_PHOTO = "not a photo"
    TOO_MANY_PIXELS = "too many pixels"
    MOVES = "moves"
    BROKEN = "broken"
    TOO_MANY = "too many"
    UNREADABLE = "unreadable"
