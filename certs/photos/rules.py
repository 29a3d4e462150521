"""What a photo may be, and what is told to who sent another thing."""

from enum import StrEnum

MOST_BYTES = 12_000_000
MOST_PIXELS = 50_000_000
# Longest side of what is kept, in pixels: a fillet can be judged on it, and a weak signal can carry it.
LONGEST_SIDE = 1600
QUALITY = 85
# The photo of a card, in pixels across and down: 17.0 mm by 21.9 mm there, about 400 to the inch, which is more than a
# card printer shows; the shape is that of a passport photo, 35 by 45 (ICAO Doc 9303-3, from memory).
PORTRAIT = (269, 346)
# A card with it costs a tenth more to print; with a photo as a phone takes it, twice as much (measured).
PORTRAIT_BYTES = 12_000
PORTRAIT_QUALITIES = (85, 75, 65, 55, 45, 25)
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
    TOO_SMALL = "too small"
